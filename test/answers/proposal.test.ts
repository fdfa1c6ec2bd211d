import { describe, expect, it } from "vitest";
import { clearOfBars, lowerProposalFor, proposalFor } from "../../server/answers/proposal.ts";
import { smallWorld, testServer } from "../support/bench.ts";

/** A build with a chip of stock 4000 MHz at 1.150 V, steps of 25 MHz, and attempts an hour apart. */
async function bench() {
  const server = await testServer();
  const world = await smallWorld(server);
  let hour = 0;
  const tried = async (clockMhz: number, voltageMv: number, outcome: string, more: object = {}) => {
    hour += 1;
    const startedAt = new Date(Date.UTC(2031, 4, 1, hour)).toISOString();
    const sent = await server.send("POST", `/api/builds/${world.cupboard}/attempts`, {
      workloadId: world.heavy,
      clockMhz,
      voltageMv,
      outcome,
      durationS: 900,
      startedAt,
      ...more,
    });
    expect(sent.status).toBe(201);
  };
  const next = () => proposalFor(server.journal, world.cupboard);
  return { ...world, server, tried, next };
}

describe("proposalFor(journal, build)", () => {
  it("begins with the stock setting, under the heaviest load, for as long as the rule asks", async () => {
    const { next, heavy } = await bench();
    expect(next()).toMatchObject({
      clockMhz: 4000,
      voltageMv: 1150,
      workloadId: heavy,
      durationS: 900,
      purpose: "screen",
      chanceOfPass: null,
    });
  });

  it("names what is missing where it cannot propose", async () => {
    const { server, next, chip } = await bench();
    await server.send("PATCH", `/api/chips/${chip}`, { stockVoltageMv: null });
    expect(next()).toMatchObject({ missing: "setting" });
    for (const { id } of (await server.send("GET", "/api/workloads")).body.items)
      await server.send("DELETE", `/api/workloads/${id}`);
    expect(next()).toMatchObject({ missing: "workload" });
  });

  it("goes one step up at the same voltage after a pass, on the grid that counts from stock", async () => {
    const { tried, next } = await bench();
    await tried(4600, 1200, "pass");
    expect(next()).toMatchObject({ clockMhz: 4625, voltageMv: 1200 });
    await tried(4630, 1200, "pass");
    expect(next()).toMatchObject({ clockMhz: 4650, voltageMv: 1200 });
  });

  it("steps below the lowest crash until that is proven", async () => {
    const { tried, next } = await bench();
    await tried(4600, 1200, "pass");
    await tried(4700, 1200, "freeze");
    expect(next()).toMatchObject({ clockMhz: 4675, voltageMv: 1200, purpose: "prove", durationS: 900 });
    await tried(4675, 1200, "pass", { durationS: 300 });
    expect(next()).toMatchObject({ clockMhz: 4675, purpose: "prove" });
    await tried(4675, 1200, "restart", { durationS: 200 });
    expect(next()).toMatchObject({ clockMhz: 4650, purpose: "prove" });
  });

  it("goes a voltage step up once a voltage is decided, never above the ceiling", async () => {
    const { tried, next, server, chip } = await bench();
    await tried(4675, 1200, "pass");
    await tried(4700, 1200, "freeze");
    expect(next()).toMatchObject({ clockMhz: 4700, voltageMv: 1212.5, purpose: "map" });
    await server.send("PATCH", `/api/chips/${chip}`, { voltageCeilingMv: 1200 });
    expect(next()).toMatchObject({ clockMhz: 4675, voltageMv: 1200, purpose: "prove", durationS: 3600 });
  });

  it("runs a contested pass once more, then believes the crash", async () => {
    const { tried, next } = await bench();
    await tried(4650, 1200, "pass");
    await tried(4600, 1200, "freeze");
    expect(next()).toMatchObject({ clockMhz: 4650, voltageMv: 1200, purpose: "resolve" });
    await tried(4650, 1200, "pass");
    expect(next()).toMatchObject({ clockMhz: 4575, voltageMv: 1200, purpose: "prove" });
  });

  it("does not repeat a setting that itself has crashed", async () => {
    const { tried, next } = await bench();
    await tried(4650, 1200, "pass", { durationS: 600 });
    await tried(4650, 1200, "system-error", { durationS: 2000 });
    expect(next()).toMatchObject({ clockMhz: 4625, voltageMv: 1200 });
  });

  it("runs again what decided nothing, and lowers the voltage where heat ended it", async () => {
    const { tried, next } = await bench();
    await tried(4650, 1200, "power-cut", { durationS: 60 });
    expect(next()).toMatchObject({ clockMhz: 4650, voltageMv: 1200 });
    await tried(4650, 1200, "too-hot", { durationS: 300 });
    expect(next()).toMatchObject({ clockMhz: 4650, voltageMv: 1187.5 });
  });

  it("leaves out idle runs, boost runs and what is set aside", async () => {
    const { tried, next, idle } = await bench();
    await tried(4600, 1200, "pass");
    await tried(800, 700, "pass", { workloadId: idle });
    await tried(4900, 1250, "pass", { clockMode: "boost" });
    expect(next()).toMatchObject({ clockMhz: 4625, voltageMv: 1200 });
  });
});

describe("clearOfBars(journal, build, proposal)", () => {
  it("goes down to what is forecast outside the warning margin, and says why", async () => {
    const { tried, next, server, cupboard, chip } = await bench();
    await server.send("PATCH", `/api/chips/${chip}`, { tempLimitC: 90, warnMarginC: 10 });
    const clear = () => clearOfBars(server.journal, cupboard, next());
    await tried(4600, 1200, "pass", { loadTempC: 60, ambientC: 22 });
    expect(clear()).toEqual(next());
    for (let run = 0; run < 8; run++) await tried(4600, 1200, "pass", { loadTempC: 75, ambientC: 22 });
    const cooler = clear() as { clockMhz: number; because: string };
    expect(cooler.clockMhz).toBeLessThan(4600);
    expect(cooler.because).toMatch(/^4625 MHz at 1\.200 V is not proposed\. .* too near the limit of 90 °C/);
  });

  it("goes under what failed, and says so in whole sentences", async () => {
    const { tried, next, server, cupboard } = await bench();
    await tried(4600, 1200, "freeze", { durationS: 300 });
    const harder = { ...(next() as object), clockMhz: 4650, voltageMv: 1200 } as ReturnType<typeof next>;
    expect(clearOfBars(server.journal, cupboard, harder)).toMatchObject({
      clockMhz: 4575,
      because: "4650 MHz or something no harder failed at 1.200 V. This lies under it.",
    });
  });

  it("goes on at a lower voltage that has held more than heat leaves", async () => {
    const { tried, next, server, cupboard, chip } = await bench();
    await server.send("PATCH", `/api/chips/${chip}`, { tempLimitC: 90, warnMarginC: 10 });
    await tried(4500, 1100, "pass", { loadTempC: 55, ambientC: 22 });
    await tried(4550, 1150, "pass", { loadTempC: 61, ambientC: 22 });
    await tried(4575, 1150, "freeze", { durationS: 60 });
    for (let run = 0; run < 8; run++) await tried(4650, 1250, "pass", { loadTempC: 78, ambientC: 22 });
    const clear = clearOfBars(server.journal, cupboard, next()) as { because: string };
    expect(clear).toMatchObject({ clockMhz: 4550, voltageMv: 1150, purpose: "screen" });
    expect(clear.because).toMatch(
      /^4675 MHz at 1\.250 V is not proposed\. .* A lower voltage has held more than that leaves\.$/,
    );
  });

  it("goes under what heat ended", async () => {
    const { tried, next, server, cupboard } = await bench();
    await tried(4600, 1200, "too-hot", { durationS: 300 });
    await tried(4575, 1200, "pass");
    expect(next()).toMatchObject({ clockMhz: 4600 });
    expect(clearOfBars(server.journal, cupboard, next())).toMatchObject({ clockMhz: 4575 });
  });
});

describe("lowerProposalFor(journal, build, clock)", () => {
  it("goes one voltage step below the lowest that held the clock or a higher one", async () => {
    const { tried, server, cupboard, heavy } = await bench();
    const lower = (clockMhz: number) => lowerProposalFor(server.journal, cupboard, clockMhz);
    expect(lower(4600)).toBeNull();
    await tried(4600, 1250, "pass");
    await tried(4650, 1200, "pass");
    expect(lower(4600)).toMatchObject({
      ...{ clockMhz: 4600, voltageMv: 1187.5, purpose: "screen", durationS: 900, workloadId: heavy },
    });
    expect(lower(4700)).toBeNull();
  });

  it("proves what held once a crash of that clock or a lower one stands in the way", async () => {
    const { tried, server, cupboard } = await bench();
    await tried(4600, 1200, "pass");
    await tried(4575, 1187.5, "freeze", { durationS: 300 });
    expect(lowerProposalFor(server.journal, cupboard, 4600)).toMatchObject({
      ...{ clockMhz: 4600, voltageMv: 1200, purpose: "prove", durationS: 3600 },
      because: expect.stringContaining("one step less did not"),
    });
  });

  it("lets a crash of a higher clock stand in nobody's way", async () => {
    const { tried, server, cupboard } = await bench();
    await tried(4600, 1200, "pass");
    await tried(4700, 1187.5, "freeze", { durationS: 300 });
    expect(lowerProposalFor(server.journal, cupboard, 4600)).toMatchObject({ voltageMv: 1187.5 });
  });
});
