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

  it("ranks cards that are set by offset by what they hold of it, and Parts shows it", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    const { boardId } = (await server.send("GET", `/api/builds/${cupboard}`)).body;
    const offset = { name: "Core offset", unit: "MHz", step: 15, harder: "up" };
    const card = async (name: string, more: object = {}) => {
      const chip = { name, kind: "gpu", tempLimitC: 90, model: "Plover 4", axis: "offset", offset, ...more };
      const { id } = (await server.send("POST", "/api/chips", chip)).body;
      const build = await server.send("POST", "/api/builds", { name: `In ${name}`, chipId: id, boardId });
      return { id, build: build.body.id };
    };
    const run = (build: string, fields: object) =>
      server.send("POST", `/api/builds/${build}/attempts`, { workloadId: heavy, durationS: 1200, ...fields });
    const [slow, quick] = [await card("Plover, slow"), await card("Plover, quick")];
    const other = await card("Plover, by voltage", { offset: { ...offset, unit: "mV", harder: "down" } });
    // The clock it came to is a reading: the one that holds less of the offset read more.
    await run(slow.build, { offset: 105, outcome: "pass", clockMhz: 2800 });
    await run(slow.build, { offset: 150, outcome: "driver-reset" });
    await run(quick.build, { offset: 165, outcome: "pass", clockMhz: 2700 });
    await run(other.build, { offset: -50, outcome: "pass" });
    const { body } = await server.send("GET", `/api/chips/${slow.id}/samples`);
    expect(body).toMatchObject({
      ...{ voltageMv: null, workloadId: heavy, samples: [], reach: [] },
      byOffset: {
        ...{ name: "Core offset", unit: "MHz", harder: "up" },
        samples: [
          { chipId: quick.id, offset: 165, place: 1 },
          { chipId: slow.id, offset: 105, place: 2 },
        ],
        reach: [{ offset: 165, seen: 1, of: 2 }, { offset: 105 }],
      },
      sentence: expect.stringContaining("1 of our 2 reached +165 MHz"),
    });
    const atVoltage = await server.send("GET", `/api/chips/${slow.id}/samples?voltageMv=1000`);
    expect([atVoltage.status, atVoltage.body.error.fields]).toEqual([
      400,
      { voltageMv: "Leave the voltage out." },
    ]);
    const html = (await server.send("GET", "/parts")).body as string;
    expect(html).toContain("Samples of Plover 4");
    expect(html).toMatch(/\+165.*\+105/s);
    expect(html).toContain("Core offset: the hardest that passed once");
    expect(html).toContain("1 of our 2 reached +165 MHz");
  });

  it("ranks a chip of several parts by the part that goes least far, once all of them hold something", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    const { boardId } = (await server.send("GET", `/api/builds/${cupboard}`)).body;
    const chip = await server.send("POST", "/api/chips", {
      ...{ name: "Heron", kind: "cpu", tempLimitC: 95, model: "Heron 8", axis: "offset" },
      offset: { name: "Undervolt", unit: "mV", step: 5, harder: "down" },
      parts: [{ name: "core 1" }, { name: "core 2" }],
    });
    const chipId = chip.body.id;
    const build = (await server.send("POST", "/api/builds", { name: "Shelf", chipId, boardId })).body.id;
    const passed = (part: string, offset: number) =>
      server.send("POST", `/api/builds/${build}/attempts`, {
        ...{ workloadId: heavy, durationS: 1200, outcome: "pass", part, offset },
      });
    const ranked = async () => (await server.send("GET", `/api/chips/${chipId}/samples`)).body;
    await passed("core 1", -60);
    expect((await ranked()).byOffset.samples).toEqual([]);
    await passed("core 2", -40);
    const { byOffset, sentence } = await ranked();
    expect(byOffset.samples).toMatchObject([{ offset: -40, parts: 2, place: 1 }]);
    expect(sentence).toContain("Our one reached −40 mV in every part");
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
