import { expect, it } from "vitest";
import type { ChangedThing } from "../../../server/store/file/changes.ts";
import { smallWorld, testServer } from "../../support/bench.ts";

it("tells that what a load printed was kept, of which build, and keeps it", async () => {
  const server = await testServer();
  const { journal } = server;
  const { cupboard, heavy } = await smallWorld(server);
  const { body } = await server.send("POST", `/api/builds/${cupboard}/attempts`, {
    ...{ workloadId: heavy, clockMhz: 4500, voltageMv: 1200, outcome: "pass", durationS: 900 },
  });
  const told: ChangedThing[] = [];
  const leave = journal.watch((changes) => told.push(...changes));
  await journal.write(() => journal.attempts.keepOutput(body.id, "cycle 1 done"));
  await Promise.resolve();
  leave();
  expect(told).toEqual([{ kind: "attempts", id: cupboard }]);
  expect([...journal.attempts.outputs()]).toEqual([{ attemptId: body.id, output: "cycle 1 done" }]);
});
