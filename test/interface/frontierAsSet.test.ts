import { describe, expect, it } from "vitest";
import { newKept } from "../../server/actions/keeping.ts";
import { smallWorld, type TestServer, testServer } from "../support/bench.ts";

async function buildOf(server: TestServer, chip: object) {
  const world = await smallWorld(server);
  const made = await server.send("POST", "/api/chips", {
    name: "Dunlin",
    kind: "cpu",
    tempLimitC: 95,
    ...chip,
  });
  expect(made.status).toBe(201);
  const build = await server.send("POST", "/api/builds", {
    name: "Shelf",
    chipId: made.body.id,
    boardId: world.small,
  });
  const buildId = build.body.id as string;
  let minute = 0;
  const tried = async (attempt: object) => {
    minute += 30;
    const startedAt = new Date(Date.UTC(2031, 4, 3, 8, minute)).toISOString();
    const reply = await server.send("POST", `/api/builds/${buildId}/attempts`, {
      workloadId: world.heavy,
      outcome: "pass",
      durationS: 1200,
      startedAt,
      ...attempt,
    });
    expect(reply.status, JSON.stringify(reply.body)).toBe(201);
    return reply.body.id as string;
  };
  const frontier = async () => (await server.send("GET", `/api/builds/${buildId}/frontier`)).body;
  return { world, buildId, tried, frontier };
}

const undervolt = { name: "curve", unit: "mV", step: 5, harder: "down" };

describe("GET /api/builds/:id/frontier of what is not a clock at a voltage", () => {
  it("has one row a part for a chip that is set by offset, and says when the list ran together", async () => {
    const server = await testServer();
    const { tried, frontier } = await buildOf(server, {
      ...{ axis: "offset", offset: undervolt },
      parts: [{ name: "core 1" }, { name: "core 2" }],
    });
    await tried({ part: "core 1", offsets: { "core 1": -20 } });
    const crashed = await tried({
      part: "core 1",
      offsets: { "core 1": -25 },
      outcome: "died",
      durationS: 90,
    });
    await tried({ part: "core 2", offsets: { "core 2": -10 } });
    const before = await frontier();
    expect(before.points).toEqual([]);
    expect(before.byOffset.rows).toMatchObject([
      { part: "core 1", heldOffset: -20, easiestCrash: -25, gap: 5, evidence: { exposureS: 1200 } },
      { part: "core 2", heldOffset: -10, easiestCrash: null },
    ]);
    expect(before.byOffset.together).toMatchObject({
      offsets: { "core 1": -20, "core 2": -10 },
      provedTogether: false,
    });
    await tried({ offsets: { "core 1": -20, "core 2": -10 } });
    expect((await frontier()).byOffset.together.provedTogether).toBe(true);
    await server.send("PUT", `/api/attempts/${crashed}/set-aside`, {
      reason: "The window fell on the cable.",
    });
    expect((await frontier()).byOffset.rows[0].easiestCrash).toBeNull();
  });

  it("puts automatic voltage on an axis of its own, with what was read under load", async () => {
    const server = await testServer();
    const { tried, frontier } = await buildOf(server, { automaticVoltage: true });
    await tried({ clockMhz: 4200, voltageMv: null, loadVoltageMv: 1180, voltageReadAt: "board" });
    await tried({ clockMhz: 4250, voltageMv: null, outcome: "artefacts", durationS: 60 });
    await tried({ clockMhz: 4100, voltageMv: 1150 });
    const { points, automatic } = await frontier();
    expect(points.map((point: { voltageMv: number }) => point.voltageMv)).toEqual([1150]);
    expect(automatic).toMatchObject({
      heldMhz: 4200,
      lowestCrashMhz: 4250,
      loadVoltages: [{ readAt: "board", lowMv: 1180, highMv: 1180 }],
    });
  });

  it("says of a build whose voltage was always automatic that nothing ran at one that was set", async () => {
    const server = await testServer();
    const { world, buildId, tried } = await buildOf(server, { voltage: "automatic" });
    const because = async () => (await server.send("GET", `/api/builds/${buildId}/best`)).body.because;
    expect(await because()).toEqual([
      "Nothing has been tried on this build yet, so there is no setting to recommend.",
    ]);
    await tried({ workloadId: world.idle, clockMhz: 4100, voltageMv: 1150 });
    await tried({ clockMhz: 4200, voltageMv: null });
    expect(await because()).toEqual([
      "None of the attempts so far speaks of a load at a clock and a voltage that were set, as all else stands now, so there is no setting to recommend.",
    ]);
  });

  it("takes automatic voltage as a word, and no other word", async () => {
    const server = await testServer();
    const chip = { name: "Dunlin", kind: "cpu", tempLimitC: 95 };
    const made = (await server.send("POST", "/api/chips", { ...chip, voltage: "automatic" })).body;
    expect(made.automaticVoltage).toBe(true);
    const edited = await server.send("PATCH", `/api/chips/${made.id}`, { note: "a second fan" });
    expect(edited.body.automaticVoltage).toBe(true);
    const other = await server.send("POST", "/api/chips", { ...chip, voltage: "manual" });
    expect([other.status, other.body.error.fields.voltage]).toEqual([
      400,
      'voltage is "automatic", or left out.',
    ]);
  });

  it("contests along the knobs of the setting alone, and leaves every figure where nothing is a knob", async () => {
    const server = await testServer();
    const fabric = { id: "fabric", name: "Fabric", unit: "MHz", step: 33, harder: "up", usual: 1800 };
    const { tried, frontier } = await buildOf(server, {
      knobs: [
        { ...fabric, belongs: "setting" },
        { ...fabric, id: "limit", name: "Limit", unit: "W", belongs: "context" },
      ],
    });
    await tried({ clockMhz: 4200, voltageMv: 1150, knobs: { fabric: 1800, limit: 200 } });
    await tried({
      clockMhz: 4200,
      voltageMv: 1150,
      outcome: "freeze",
      durationS: 60,
      knobs: { fabric: 1900 },
    });
    const { points, byKnobs } = await frontier();
    expect(points[0]).toMatchObject({ heldMhz: 4200, knobs: { fabric: 1800 }, contested: [] });
    expect(byKnobs).toHaveLength(2);
  });

  it("asks trainings of a memory, and lets a failed one contest starts and no pass", async () => {
    const server = await testServer();
    const { tried, frontier, world, buildId } = await buildOf(server, { kind: "memory", clockUnit: "MT/s" });
    const rule = await server.send("POST", "/api/rules", {
      name: "Three trainings",
      requires: [{ anyWorkload: true, durationS: 900, trainings: 3, cycles: 10 }],
    });
    expect(rule.status).toBe(201);
    await server.send("PATCH", `/api/builds/${buildId}`, { ruleId: rule.body.id });
    const run = { workloadId: world.heavy, clockMhz: 6400, voltageMv: 1350, training: "full", cycles: 12 };
    await tried(run);
    await tried({ ...run, training: "stored" });
    await tried({ ...run, outcome: "no-start", durationS: 0 });
    await tried({ ...run, cycles: 4 });
    await tried(run);
    expect((await frontier()).points[0].heldMhz).toBeNull();
    await tried(run);
    expect((await frontier()).points[0]).toMatchObject({
      heldMhz: 6400,
      contested: [],
      lowestCrashMhz: 6400,
    });
  });

  it("takes the smallest margin over the places that have a limit of their own", async () => {
    const server = await testServer();
    const { tried, frontier } = await buildOf(server, { limits: { hotspot: 100 } });
    const read = { ambientC: 22, loadTempC: 60, temps: { hotspot: 90, junction: 99 } };
    await tried({ clockMhz: 4200, voltageMv: 1150, ...read });
    expect((await frontier()).points[0]).toMatchObject({ loadTempC: 60, marginC: 2, margin: "tight" });
  });

  it("holds no crash below the chip's own cold limit against anything", async () => {
    const server = await testServer();
    const { tried, frontier } = await buildOf(server, { lowestTempC: -60 });
    await tried({ clockMhz: 5600, voltageMv: 1300 });
    await tried({ clockMhz: 5600, voltageMv: 1300, outcome: "freeze", durationS: 30, lowestTempC: -75 });
    expect((await frontier()).points[0]).toMatchObject({ heldMhz: 5600, lowestCrashMhz: null });
  });

  it("starts anew with a firmware update until one setting was repeated", async () => {
    const server = await testServer();
    const { tried, frontier, buildId } = await buildOf(server, {});
    const { journal, clock } = server;
    await journal.write(() => {
      for (const [name, since] of [
        ["1.2", "2031-01-01T00:00:00.000Z"],
        ["1.3", "2031-05-03T09:00:00.000Z"],
      ] as const)
        journal.versions.put(newKept({ journal, now: clock.now() }), {
          buildId,
          of: "firmware",
          name,
          since,
          note: "",
        });
    });
    await tried({ clockMhz: 4200, voltageMv: 1150 });
    await tried({ clockMhz: 4150, voltageMv: 1150, outcome: "freeze", durationS: 60 });
    expect((await frontier()).points[0].heldMhz).toBe(4200);
    await tried({ clockMhz: 4200, voltageMv: 1150 });
    expect((await frontier()).points[0].heldMhz).toBeNull();
  });

  it("says how long memory modules take to level, where a held pass was shorter", async () => {
    const server = await testServer();
    const { tried, frontier } = await buildOf(server, { kind: "memory", clockUnit: "MT/s" });
    const at = { clockMhz: 6000, voltageMv: 1350, loadTempC: 45, ambientC: 21 };
    await tried({ ...at, durationS: 1000 });
    const said = async () => JSON.stringify((await frontier()).warnings);
    expect(await said()).toContain("memory modules take 20 to 40 minutes to level");
    await tried({ ...at, durationS: 2400 });
    expect(await said()).not.toContain("20 to 40 minutes");
  });
});
