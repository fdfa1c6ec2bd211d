import { expect, it } from "vitest";
import type { Demand } from "../../../server/answers/reckoned.ts";
import { freshJournal, smallWorld, testServer } from "../../support/bench.ts";

it("waits a moment for answers, then lets whoever else waits go first", async () => {
  const demands: (() => Demand)[] = [];
  const server = await testServer(freshJournal(), {
    reckon: (kind, _request, demand) => {
      if (kind === "best" && demand) demands.push(demand);
      return new Promise(() => undefined);
    },
  });
  const { cupboard, heavy } = await smallWorld(server);
  await server.send("POST", `/api/builds/${cupboard}/attempts`, {
    ...{ workloadId: heavy, clockMhz: 4500, voltageMv: 1200, outcome: "pass", durationS: 900 },
  });
  const list = server.app.inject({ url: "/builds" });
  await expect.poll(() => demands.map((demand) => demand())).toEqual(["awaited"]);
  expect((await list).statusCode).toBe(200);
  expect(demands.map((demand) => demand())).toEqual(["lacking"]);
});
