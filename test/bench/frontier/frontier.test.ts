import { describe, expect, it } from "vitest";
import { frontierOf } from "../../../server/bench/frontier/frontier.ts";
import type { Requirement } from "../../../server/bench/things/rule.ts";
import { aRow, asking, loads, randomRows } from "../../support/frontierRows.ts";
import { slowFrontier } from "../../support/slowFrontier.ts";

const pointAt = (rows: Parameters<typeof asking>[0], voltageMv = 1200, more = {}) => {
  const point = frontierOf(asking(rows, more)).points.find((one) => one.voltageMv === voltageMv);
  if (!point) throw new Error(`Nothing was tried at ${voltageMv} mV.`);
  return point;
};

const anyLoad: Requirement = {
  workloadId: null,
  anyWorkload: true,
  durationS: 900,
  correctedErrors: null,
  coldStarts: null,
};

describe("frontierOf(question)", () => {
  it("is empty where nothing was tried", () => {
    expect(frontierOf(asking([]))).toMatchObject({ points: [], byClock: [], warnings: [], attempts: 0 });
  });

  it("holds the highest clock whose pass was long enough", () => {
    const point = pointAt([
      aRow({ clockMhz: 4600 }),
      aRow({ clockMhz: 4625, durationS: 600, plannedS: 600 }),
      aRow({ clockMhz: 4650, outcome: "freeze", durationS: 40 }),
    ]);
    expect(point).toMatchObject({ highestPassedMhz: 4625, heldMhz: 4600, lowestCrashMhz: 4650, gapMhz: 50 });
  });

  it("contests a pass by a crash at a lower clock or a higher voltage", () => {
    const rows = [
      aRow({ clockMhz: 4600, id: "low" }),
      aRow({ clockMhz: 4650, id: "high" }),
      aRow({ clockMhz: 4625, voltageMv: 1250, outcome: "restart", durationS: 1200 }),
    ];
    expect(pointAt(rows)).toMatchObject({ heldMhz: 4600, highestPassedMhz: 4650, contested: ["high"] });
    const contested = frontierOf(asking(rows)).warnings.find(({ about }) => about === "contested");
    expect(contested?.settledBy).toMatchObject({
      clockMhz: 4650,
      words: expect.stringMatching(/^Run 4650 MHz at 1\.200 V once more/),
    });
  });

  it("says where no temperature was read under the heaviest load that its rule asks for", () => {
    const requires = ["heavy", "light"].map((workloadId) => ({ ...anyLoad, workloadId, anyWorkload: null }));
    const warned = (heavy: Partial<Parameters<typeof aRow>[0]>) =>
      frontierOf(
        asking(
          [aRow({ workloadId: "light", loadTempC: 60, ambientC: 22 }), aRow({ ...heavy, ambientC: 22 })],
          {
            requires,
          },
        ),
      ).warnings.filter(({ about }) => about === "lighter-load");
    expect(warned({ workloadId: "heavy", loadTempC: 80 })).toEqual([]);
    expect(warned({ workloadId: "heavy" })).toMatchObject([
      { voltageMv: 1200, message: expect.stringContaining("No temperature was read under heavy") },
    ]);
  });

  it("tells of passes that were held back or had errors corrected, and of no crash", () => {
    const corrected = aRow({ id: "corrected", correctedErrors: 3 });
    const slowed = aRow({ id: "slowed", clockMhz: 4700, effectiveClockMhz: 4600 });
    const crash = { outcome: "freeze" as const, clockMhz: 4750, durationS: 60 };
    const crashed = [
      aRow({ ...crash, correctedErrors: 5 }),
      aRow({ ...crash, clockMhz: 4800, effectiveClockMhz: 4700 }),
    ];
    const { warnings } = frontierOf(asking([corrected, slowed, ...crashed, aRow({ voltageMv: 1250 })]));
    const told = (kind: string) => warnings.filter(({ about }) => about === kind);
    expect(told("corrected-errors")).toMatchObject([
      { voltageMv: 1200, attempts: ["corrected"], message: expect.stringMatching(/^A pass at 1\.200 V had/) },
    ]);
    expect(told("throttled")).toMatchObject([
      { voltageMv: 1200, attempts: ["slowed"], message: expect.stringMatching(/^A pass at 1\.200 V did/) },
    ]);
  });

  it("does not hold a crash at a higher voltage against a pass where heat may have been its cause", () => {
    const rows = [
      aRow({ clockMhz: 4650 }),
      aRow({ clockMhz: 4625, voltageMv: 1250, outcome: "restart", durationS: 1200, peakTempC: 85 }),
    ];
    expect(pointAt(rows)).toMatchObject({ heldMhz: 4650, contested: [] });
    const excused = (all: typeof rows) =>
      frontierOf(asking(all)).warnings.filter(({ about }) => about === "heat-excused");
    expect(excused([...rows, aRow({ voltageMv: 1300, clockMhz: 4700 })])).toMatchObject([
      { voltageMv: 1250, attempts: [rows[1]!.id] },
    ]);
    expect(excused(rows.slice(1))).toEqual([]);
    const cooler = [rows[0] as never, { ...(rows[1] as object), peakTempC: 84.9 } as never];
    expect(pointAt(cooler).heldMhz).toBeNull();
  });

  it("takes what a lower voltage held as implied, unless its own margin is thin", () => {
    const rows = [
      aRow({ voltageMv: 1150, clockMhz: 4650 }),
      aRow({ voltageMv: 1200, clockMhz: 4600, loadTempC: 70, ambientC: 25 }),
    ];
    expect(pointAt(rows)).toMatchObject({ heldMhz: 4600, impliedMhz: 4650, margin: "ok", marginC: 20 });
    const hot = [rows[0] as never, aRow({ voltageMv: 1200, clockMhz: 4600, loadTempC: 81, ambientC: 25 })];
    expect(pointAt(hot)).toMatchObject({ impliedMhz: 4600, margin: "tight", marginC: 9 });
  });

  it("counts clean time up to, not including, the lowest clock that crashed", () => {
    const rows = [
      aRow({ clockMhz: 4600, durationS: 900 }),
      aRow({ clockMhz: 4625, durationS: 600, outcome: "stopped" }),
      aRow({ clockMhz: 4625, durationS: 500, outcome: "stopped", voltageMv: 1150 }),
      aRow({ clockMhz: 4650, durationS: 700, plannedS: 700 }),
      aRow({ clockMhz: 4650, durationS: 800, outcome: "freeze" }),
    ];
    expect(pointAt(rows).evidence).toMatchObject({ exposureS: 2000, passes: 1, crashes: 1 });
  });

  it("speaks of the effective clock alone where the chip did not run at the set one", () => {
    const slowed = aRow({ clockMhz: 4700, effectiveClockMhz: 4600 });
    expect(pointAt([slowed])).toMatchObject({ heldMhz: 4600, highestPassedMhz: 4600 });
    expect(pointAt([aRow({ clockMhz: 4700, effectiveClockMhz: 4660 })]).heldMhz).toBe(4700);
    expect(pointAt([aRow({ clockMhz: 4700, throttled: true })])).toMatchObject({
      heldMhz: null,
      highestPassedMhz: null,
    });
  });

  it("asks each requirement of the rule of one pass at the setting", () => {
    const requires: Requirement[] = [
      { ...anyLoad, workloadId: "heavy", anyWorkload: null, durationS: 1800, correctedErrors: 0 },
      { ...anyLoad, coldStarts: 2 },
    ];
    const heavy = aRow({ durationS: 1800, correctedErrors: 0, startKind: "cold" });
    expect(pointAt([heavy], 1200, { requires }).heldMhz).toBeNull();
    expect(
      pointAt([heavy, aRow({ workloadId: "light", startKind: "cold" })], 1200, { requires }).heldMhz,
    ).toBe(4600);
    const unread = { ...heavy, correctedErrors: null };
    expect(pointAt([unread, aRow({ startKind: "cold" })], 1200, { requires }).heldMhz).toBeNull();
  });

  it("answers for one load from that load and heavier ones", () => {
    const rows = [
      aRow({ workloadId: "light", clockMhz: 4700 }),
      aRow({ workloadId: "heavy", clockMhz: 4600 }),
    ];
    expect(pointAt(rows, 1200, { asked: loads.heavy }).heldMhz).toBe(4600);
    expect(pointAt(rows, 1200, { asked: loads.light }).heldMhz).toBe(4700);
    expect(frontierOf(asking(rows, { asked: loads.heavy })).leftOut).toEqual({
      idle: 0,
      boost: 0,
      otherWorkload: 1,
      inDoubt: 0,
    });
  });

  it("leaves idle runs and boost runs out", () => {
    const rows = [aRow({ workloadId: "idle" }), aRow({ clockMode: "boost" })];
    expect(frontierOf(asking(rows))).toMatchObject({ points: [], leftOut: { idle: 1, boost: 1 } });
  });

  it("takes no evidence about clock from heat, power cuts and disturbances", () => {
    const rows = (["too-hot", "power-cut", "disturbed"] as const).map((outcome) =>
      aRow({ outcome, durationS: 1000 }),
    );
    expect(pointAt(rows)).toMatchObject({ heldMhz: null, highestPassedMhz: null, lowestCrashMhz: null });
  });

  it("warns where the margin rests on no room temperature or on too short a run", () => {
    const about = (rows: Parameters<typeof asking>[0], requires = [{ ...anyLoad, durationS: 300 }]) =>
      frontierOf(asking(rows, { requires })).warnings.map((warning) => warning.about);
    expect(about([aRow({ loadTempC: 70 })])).toEqual(["no-ambient"]);
    expect(about([aRow({ loadTempC: 70, ambientC: 22, durationS: 599 })])).toEqual(["not-levelled"]);
    expect(about([aRow({ loadTempC: 70, ambientC: 22, durationS: 599, traced: true })])).toEqual([]);
    expect(about([aRow({ loadTempC: 90, ambientC: 20 })])).toEqual(["over-limit"]);
  });

  it("reads the same record along the clocks", () => {
    const rows = [
      aRow({ voltageMv: 1150, clockMhz: 4600, outcome: "freeze" }),
      aRow({ voltageMv: 1175, clockMhz: 4600, durationS: 300, plannedS: 300 }),
      aRow({ voltageMv: 1200, clockMhz: 4600 }),
    ];
    expect(frontierOf(asking(rows)).byClock).toEqual([
      { clockMhz: 4600, heldMv: 1200, lowestPassedMv: 1175, highestCrashMv: 1150 },
    ]);
  });
});

describe("frontierOf(question) on records drawn at random", () => {
  const seeds = Array.from({ length: 300 }, (_, i) => i + 1);

  it("agrees with the slow frontier written from its definition", () => {
    let held = 0;
    for (const seed of seeds) {
      const requires = seed % 3 === 0 ? [{ ...anyLoad, correctedErrors: 0 as const }] : [anyLoad];
      const question = asking(randomRows(seed, 5 + (seed % 60)), {
        requires,
        asked: seed % 4 === 0 ? loads.light : null,
      });
      const fast = frontierOf(question).points.map(({ evidence, ...point }) => ({
        ...point,
        exposureS: evidence.exposureS,
      }));
      expect(fast).toEqual(slowFrontier(question));
      held += fast.filter((point) => point.heldMhz !== null).length;
    }
    expect(held).toBeGreaterThan(200);
  });

  it("does not depend on the order in which attempts were logged", () => {
    for (const seed of seeds.slice(0, 60)) {
      const rows = randomRows(seed, 40);
      const sorted = (points: ReturnType<typeof frontierOf>["points"]) =>
        points.map((point) => ({ ...point, contested: [...point.contested].sort() }));
      expect(sorted(frontierOf(asking([...rows].reverse())).points)).toEqual(
        sorted(frontierOf(asking(rows)).points),
      );
    }
  });

  it("never holds a higher clock for one more crash, nor passes a lower one for one more pass", () => {
    for (const seed of seeds.slice(0, 100)) {
      const rows = randomRows(seed, 40);
      const [crash] = randomRows(seed + 1000, 1).map((row) => ({
        ...row,
        outcome: "freeze" as const,
        workloadId: "heavy",
      }));
      const [pass] = randomRows(seed + 2000, 1).map((row) => ({
        ...row,
        outcome: "pass" as const,
        workloadId: "heavy",
      }));
      const before = new Map(frontierOf(asking(rows)).points.map((point) => [point.voltageMv, point]));
      for (const point of frontierOf(asking([...rows, crash as never])).points)
        expect(point.heldMhz ?? 0).toBeLessThanOrEqual(before.get(point.voltageMv)?.heldMhz ?? 0);
      for (const point of frontierOf(asking([...rows, pass as never])).points)
        expect(point.highestPassedMhz ?? 0).toBeGreaterThanOrEqual(
          before.get(point.voltageMv)?.highestPassedMhz ?? 0,
        );
    }
  });
});
