import { describe, expect, it } from "vitest";
import { smallWorld, testServer } from "../support/bench.ts";

describe("GET /api/chips/:id/samples", () => {
  it("ranks the samples of a model at the voltage and load they have in common, and Parts shows it", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    const build = (await server.send("GET", `/api/builds/${cupboard}`)).body;
    await server.send("PATCH", `/api/chips/${build.chipId}`, { model: "Heron 8" });
    const other = await server.send("POST", "/api/chips", {
      name: "Heron, second",
      kind: "cpu",
      tempLimitC: 95,
      model: "heron  8",
    });
    const second = await server.send("POST", "/api/builds", {
      name: "Second sample",
      chipId: other.body.id,
      boardId: build.boardId,
    });
    const run = (buildId: string, clockMhz: number, outcome: string) =>
      server.send("POST", `/api/builds/${buildId}/attempts`, {
        workloadId: heavy,
        clockMhz,
        voltageMv: 1200,
        outcome,
        durationS: 1200,
      });
    await run(cupboard, 4700, "pass");
    await run(cupboard, 4725, "freeze");
    await run(second.body.id, 4800, "pass");
    const { body } = await server.send("GET", `/api/chips/${build.chipId}/samples`);
    expect(body).toMatchObject({ model: "Heron 8", voltageMv: 1200, workloadId: heavy });
    expect(body.samples.map((one: { clockMhz: number; place: number }) => [one.clockMhz, one.place])).toEqual(
      [
        [4800, 1],
        [4700, 2],
      ],
    );
    expect(body.reach[0]).toMatchObject({ clockMhz: 4800, seen: 1, of: 2 });
    const html = (await server.send("GET", "/parts")).body as string;
    expect(html).toMatch(/Samples of heron {2}8/);
    expect(html).toContain("one pass may lie above it by luck");
    expect(html).toContain("1 of our 2 reached 4800 MHz");
  });

  it("asks for the model where none is named", async () => {
    const server = await testServer();
    const { cupboard } = await smallWorld(server);
    const { chipId } = (await server.send("GET", `/api/builds/${cupboard}`)).body;
    const { status, body } = await server.send("GET", `/api/chips/${chipId}/samples`);
    expect(status).toBe(400);
    expect(body.error.fields.model).toContain("model");
  });
});
