import { describe, expect, it } from "vitest";
import { smallWorld, type TestServer, testServer } from "../support/bench.ts";
import { cardWorld } from "../support/settingWorlds.ts";

/** Passes below and crashes above a limit of 4650 MHz at 1.200 V that rises by 20 MHz in 10 mV. */
async function record({ send }: TestServer, build: string, workloadId: string, shiftMhz = 0) {
  for (const voltageMv of [1150, 1200, 1250]) {
    const limitMhz = 4650 + shiftMhz + 2 * (voltageMv - 1200);
    for (const clockMhz of [limitMhz - 75, limitMhz - 50, limitMhz - 25, limitMhz + 25, limitMhz + 50]) {
      const passes = clockMhz < limitMhz;
      await send("POST", `/api/builds/${build}/attempts`, {
        workloadId,
        clockMhz,
        voltageMv,
        outcome: passes ? "pass" : "freeze",
        durationS: passes ? 1800 : 60,
        loadTempC: 70 + (voltageMv - 1150) / 10,
        ambientC: 23,
      });
    }
  }
}

/** What a page swaps in once it is worked out. */
async function pieceOf(server: TestServer, url: string): Promise<string> {
  for (let i = 0; i < 100; i++) {
    const { status, body } = await server.send("GET", url);
    if (status === 200) return body;
    await new Promise((resolve) => setTimeout(resolve, 50));
  }
  throw new Error(`${url} never came`);
}

describe("GET /api/builds/:id/limit", () => {
  it("fits the limit over voltage from the lowest tried to the ceiling, with its band and the voltage for a clock", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    await record(server, cupboard, heavy);
    const { body } = await server.send("GET", `/api/builds/${cupboard}/limit?targetMhz=4625`);
    expect(body).toMatchObject({ state: "fitted", coverage: 0.9 });
    const voltages = body.curve.map((point: { voltageMv: number }) => point.voltageMv);
    expect([voltages[0], voltages[1], voltages.at(-1)]).toEqual([1150, 1162.5, 1350]);
    const at1200 = body.curve.find((point: { voltageMv: number }) => point.voltageMv === 1200);
    expect(at1200.lowMhz).toBeGreaterThan(4575);
    expect(at1200.highMhz).toBeLessThan(4680);
    expect(at1200.lowMhz).toBeLessThan(at1200.limitMhz);
    expect(body.slopeMhzPer10Mv).toBeGreaterThan(12);
    expect(body.slopeMhzPer10Mv).toBeLessThan(28);
    expect(body.voltageFor.mv).toBeGreaterThan(1170);
    expect(body.voltageFor.mv).toBeLessThan(1230);
  });

  it("tells which errors spoke, and the build page says it", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    await record(server, cupboard, heavy);
    const counting = { workloadId: heavy, clockMhz: 4600, voltageMv: 1200, outcome: "pass", durationS: 900 };
    const attempts = `/api/builds/${cupboard}/attempts`;
    await server.send("POST", attempts, { ...counting, correctedErrors: { core: 2, memory: 30 } });
    const { body } = await server.send("GET", `/api/builds/${cupboard}/limit`);
    expect(body.errors).toEqual({ counted: 2, attempts: 1 });
    const words = await pieceOf(server, `/builds/${cupboard}/limit?goal=clock&use=benchmark`);
    expect(words).toContain("as far as they rise with the clock: 2 in one attempt.");
  });

  it("says what is lacking where there is too little", async () => {
    const server = await testServer();
    const { cupboard } = await smallWorld(server);
    const { status, body } = await server.send("GET", `/api/builds/${cupboard}/limit`);
    expect([status, body.state]).toEqual([200, "too-little"]);
    expect(body.because).toMatch(/attempt/);
    expect(body.needs).toMatch(/Record/);
  });

  it("never says that there is no attempt where some were made that tell nothing of it", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    const disturbed = { workloadId: heavy, clockMhz: 4300, voltageMv: 1200, outcome: "disturbed" };
    await server.send("POST", `/api/builds/${cupboard}/attempts`, { ...disturbed, durationS: 200 });
    const { body } = await server.send("GET", `/api/builds/${cupboard}/limit`);
    expect(body).toMatchObject({
      state: "too-little",
      because: "No attempt so far says anything about the limit.",
    });
    const words = await pieceOf(server, `/builds/${cupboard}/limit?goal=clock&use=benchmark`);
    expect(words).toContain("No limit is fitted yet: No attempt so far says anything about the limit.");
  });

  it("tells of a chip set by an offset that its limit is one, however often it was tried", async () => {
    const server = await testServer();
    const { rig, load } = await cardWorld(server);
    const ran = { workloadId: load, offset: 90, outcome: "pass", durationS: 900 };
    await server.send("POST", `/api/builds/${rig}/attempts`, ran);
    const { body } = await server.send("GET", `/api/builds/${rig}/limit`);
    expect(body).toMatchObject({ state: "too-little", because: expect.stringContaining("an offset too") });
    expect((await server.send("GET", `/builds/${rig}`)).body).not.toContain("There is no attempt yet");
  });
});

describe("GET /api/builds/:id/next", () => {
  it("proposes an attempt with its chance, its minutes and its heat, within the bounds", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    await server.send("POST", `/api/builds/${cupboard}/attempts`, {
      workloadId: heavy,
      clockMhz: 4000,
      voltageMv: 1150,
      outcome: "pass",
      durationS: 900,
      loadTempC: 65,
      ambientC: 22,
    });
    const { body } = await server.send("GET", `/api/builds/${cupboard}/next?voltageMv=1150`);
    expect(body).toMatchObject({ voltageMv: 1150, workloadId: heavy });
    expect(body.clockMhz).toBeGreaterThan(4000);
    expect(body.clockMhz).toBeLessThanOrEqual(4200);
    expect((body.clockMhz - 4000) % 25).toBe(0);
    expect(body.chanceOfPass).toBeGreaterThan(0.3);
    expect(body.expectedTempC.low).toBeLessThan(body.expectedTempC.high);
    expect(body.because).toMatch(/\.$/);
  });

  it("starts an empty build with the stock setting, whatever is looked for", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    const asked = async (query: string) =>
      (await server.send("GET", `/api/builds/${cupboard}/next${query}`)).body;
    const chip = (await server.send("GET", "/api/chips")).body.items[0];
    const stock = { clockMhz: chip.stockClockMhz, voltageMv: chip.stockVoltageMv };
    for (const query of ["", "?voltageMv=1300", "?clockMhz=4800", "?voltagesMv=1100,1300"]) {
      const body = await asked(query);
      expect(body, query).toMatchObject({ ...stock, purpose: "screen", workloadId: heavy, blocked: [] });
      expect(body.because, query).toContain("Nothing was tried on this build yet, so begin with the stock");
      expect(body.chanceOfPass, query).toBeGreaterThan(0.6);
    }
    const { durationS } = await asked("?wait=0");
    expect(durationS).toBe((await asked("")).durationS);
    // An hour of idling says nothing of what it does under load.
    const idle = (await server.send("POST", "/api/workloads", { name: "Doze", kind: "idle" })).body.id;
    await server.send("POST", `/api/builds/${cupboard}/attempts`, {
      ...{ workloadId: idle, ...stock, outcome: "pass", durationS: 3600 },
    });
    expect(await asked("")).toMatchObject(stock);
    await server.send("POST", `/api/builds/${cupboard}/attempts`, {
      ...{ workloadId: heavy, ...stock, outcome: "pass", durationS: 900 },
    });
    expect((await asked("")).clockMhz).toBeGreaterThan(stock.clockMhz);
  });

  it("looks for the lowest voltage of a clock, and maps the voltages named", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    await record(server, cupboard, heavy);
    const clock = await server.send("GET", `/api/builds/${cupboard}/next?clockMhz=4625`);
    expect(clock.body.settled?.voltageMv ?? clock.body.voltageMv).toBeGreaterThan(1150);
    const map = await server.send("GET", `/api/builds/${cupboard}/next?voltagesMv=1175,1225`);
    const mapped = map.body.settled?.map.map((one: { voltageMv: number }) => one.voltageMv);
    expect(mapped ?? [map.body.voltageMv]).toEqual(mapped ? [1175, 1225] : [expect.any(Number)]);
  });
});

describe("GET /api/builds/:id/best", () => {
  it("recommends a setting for a use, and a stricter use no higher a clock", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    await record(server, cupboard, heavy);
    const best = async (use: string) =>
      (await server.send("GET", `/api/builds/${cupboard}/best?use=${use}`)).body;
    const [benchmark, unattended] = [await best("benchmark"), await best("unattended")];
    expect(benchmark.setting.clockMhz).toBeGreaterThan(4400);
    expect(unattended.setting.clockMhz).toBeLessThanOrEqual(benchmark.setting.clockMhz);
    expect(benchmark.because.length).toBeGreaterThan(1);
  });
});

describe("GET /api/builds/:id/best?goal=efficiency", () => {
  it("counts score per watt where scores are on record, says under which load, and stands on the build's page", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    await server.send("PATCH", `/api/workloads/${heavy}`, { scoreUnit: "frames/min", scoreBetter: "higher" });
    await record(server, cupboard, heavy);
    const before = (await server.send("GET", `/api/builds/${cupboard}/best?goal=efficiency`)).body;
    expect(before.perWatt).toMatchObject({ of: "clock", workloadId: null });
    const runs = (await server.send("GET", `/api/builds/${cupboard}/attempts`)).body.items;
    for (const { id, clockMhz, voltageMv, outcome } of runs)
      if (outcome === "pass")
        await server.send("PATCH", `/api/attempts/${id}`, {
          score: clockMhz / 100,
          powerW: 50 + 2e-8 * voltageMv ** 2 * clockMhz,
        });
    const { body } = await server.send("GET", `/api/builds/${cupboard}/best?goal=efficiency`);
    expect(body.perWatt).toMatchObject({ of: "score", workloadId: heavy, scoreUnit: "frames/min" });
    const { clockMhz, voltageMv, score, scorePerW } = body.setting;
    expect(score).toBeCloseTo(clockMhz / 100, 3);
    expect(scorePerW).toBeCloseTo(score / (50 + 2e-8 * voltageMv ** 2 * clockMhz), 3);
    const piece = await pieceOf(server, `/builds/${cupboard}/limit?goal=efficiency`);
    expect(piece).toContain("most score per watt");
    expect(piece).toMatch(/frames\/min per watt/);
  });
});

describe("GET /api/compare", () => {
  it("judges clocks by the limits of each build's own attempts", async () => {
    const server = await testServer();
    const { cupboard, frame, heavy } = await smallWorld(server);
    await record(server, cupboard, heavy);
    await record(server, frame, heavy, 200);
    const { body } = await server.send("GET", `/api/compare?a=${cupboard}&b=${frame}`);
    const row = body.sameVoltage.find((one: { voltageMv: number }) => one.voltageMv === 1200);
    expect(row).toMatchObject({ aMhz: 4625, bMhz: 4825, differenceMhz: 200, verdict: "differs" });
    expect(row.low).toBeGreaterThan(100);
    expect(row.high).toBeLessThan(300);
    expect(body.sentence).toMatch(/^Open frame goes/);
    expect(body.clock).toMatchObject({ verdict: "differs", voltages: body.clock.voltages });
    expect(body.clock.low).toBeLessThan(200);
    expect(body.clock.high).toBeGreaterThan(200);
    expect(body.clock.voltages.map((one: { voltageMv: number }) => one.voltageMv)).toEqual(
      body.sameVoltage.map((one: { voltageMv: number }) => one.voltageMv),
    );
    expect(body.together).toMatchObject([{ measure: "clock", verdict: "differs" }]);
    const { body: under } = await server.send("GET", `/api/compare?a=${cupboard}&b=${frame}&by=load`);
    expect(under.clock).toMatchObject({ differenceMhz: null, verdict: "not-enough", voltages: [] });
    expect(under.clock.because).toContain("three attempts");
  });
});
