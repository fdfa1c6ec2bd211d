import { describe, expect, it } from "vitest";
import { usualAssumptions } from "../../../server/bench/comparison/assumptions.ts";
import { loadVoltagesOf, sameLoadVoltageRows } from "../../../server/bench/comparison/sameLoadVoltage.ts";
import { type ClockAtVoltage, sameVoltageRows } from "../../../server/bench/comparison/sameVoltage.ts";
import { seededRandom } from "../../../server/numerics/seededRandom.ts";
import { run } from "./benchDay.ts";

const point = (voltageMv: number, heldMhz: number | null, lowestCrashMhz: number | null): ClockAtVoltage => ({
  voltageMv,
  highestPassedMhz: heldMhz,
  heldMhz,
  lowestCrashMhz,
});
const assumptions = usualAssumptions;

describe("clocks at the same voltage", () => {
  it("50 MHz is shown as at least 25, at most 75, and is not judged without fitted limits", () => {
    const rows = sameVoltageRows({
      a: [point(1200, 4700, 4725)],
      b: [point(1200, 4750, 4775)],
      assumptions,
    });
    expect(rows).toEqual([
      expect.objectContaining({
        voltageMv: 1200,
        aMhz: 4700,
        bMhz: 4750,
        differenceMhz: 50,
        low: null,
        high: null,
        verdict: "not-enough",
        bracket: { atLeastMhz: 25, atMostMhz: 75 },
      }),
    ]);
  });

  it("an end that was never tried stays open, and voltages of one build alone are left out", () => {
    const rows = sameVoltageRows({
      a: [point(1150, 4500, null), point(1200, 4700, null)],
      b: [point(1200, 4750, 4775), point(1250, 4800, null)],
      assumptions,
    });
    expect(rows).toHaveLength(1);
    expect(rows[0]!.bracket).toEqual({ atLeastMhz: null, atMostMhz: 75 });
  });

  it("nothing held says nothing, rather than zero", () => {
    const [row] = sameVoltageRows({
      a: [point(1200, null, 4500)],
      b: [point(1200, 4750, null)],
      assumptions,
    });
    expect(row).toMatchObject({
      aMhz: null,
      differenceMhz: null,
      bracket: { atLeastMhz: 250, atMostMhz: null },
    });
  });

  it("fitted limits are judged; a real difference under one clock step is called so", () => {
    const limit = (clockMhz: number, half: number) => () => ({
      clockMhz,
      lowMhz: clockMhz - half,
      highMhz: clockMhz + half,
    });
    const ask = (b: number, half: number) =>
      sameVoltageRows({
        a: [point(1200, 4700, 4725)],
        b: [point(1200, 4700, 4725)],
        limitOfA: limit(4705, half),
        limitOfB: limit(b, half),
        assumptions,
      })[0]!;
    expect(ask(4755, 20)).toMatchObject({ verdict: "differs", smallerThan: null });
    expect(ask(4725, 40)).toMatchObject({ verdict: "within-scatter" });
    expect(ask(4720, 5)).toMatchObject({ verdict: "differs", smallerThan: "clock-step" });
  });

  it("with passes only on one build its limit has no upper end, and only what follows is claimed", () => {
    const ask = (a: number) =>
      sameVoltageRows({
        a: [point(1200, 4700, null)],
        b: [point(1200, 4700, 4725)],
        limitOfA: () => ({ clockMhz: a, lowMhz: a - 20, highMhz: null }),
        limitOfB: () => ({ clockMhz: 4710, lowMhz: 4690, highMhz: 4730 }),
        assumptions,
      })[0]!;
    expect(ask(4700)).toMatchObject({ low: null, verdict: "not-enough" });
    expect(ask(4800)).toMatchObject({ low: null, verdict: "differs" });
  });

  it("intervals of the difference cover the truth as often as those of uneven parts do (95 %)", () => {
    const random = seededRandom(5);
    let covered = 0;
    for (let n = 0; n < 2000; n++) {
      const [up, down] = [12, 5];
      const error = () => {
        const z = random.normal();
        return z > 0 ? z * down : z * up;
      };
      const limit = (truth: number) => {
        const clockMhz = truth + error();
        return () => ({ clockMhz, lowMhz: clockMhz - 1.96 * down, highMhz: clockMhz + 1.96 * up });
      };
      const [row] = sameVoltageRows({
        a: [point(1200, 4700, null)],
        b: [point(1200, 4700, null)],
        limitOfA: limit(4700),
        limitOfB: limit(4730),
        assumptions,
      });
      if (row!.low! <= 30 && row!.high! >= 30) covered++;
    }
    expect(covered / 2000).toBeGreaterThan(0.93);
    expect(covered / 2000).toBeLessThan(0.98);
  });
});

describe("clocks at the same voltage under load", () => {
  it("a board that droops more is read where the other one truly ran", () => {
    const rows = sameLoadVoltageRows({
      a: [point(1200, 4700, 4725), point(1250, 4800, 4825)],
      b: [point(1200, 4650, 4675), point(1250, 4750, 4775)],
      loadVoltagesOfA: new Map([
        [1200, 1190],
        [1250, 1240],
      ]),
      loadVoltagesOfB: new Map([
        [1200, 1165],
        [1250, 1215],
      ]),
      assumptions,
    });
    expect(rows.map((row) => row.voltageMv)).toEqual([1190, 1215]);
    expect(rows[0]).toMatchObject({ aMhz: 4700, bMhz: 4700, differenceMhz: 0, interpolated: "b" });
    expect(rows[1]).toMatchObject({ aMhz: 4750, bMhz: 4750, interpolated: "a" });
  });

  it("never reads beyond what was tried", () => {
    const rows = sameLoadVoltageRows({
      a: [point(1200, 4700, null)],
      b: [point(1200, 4650, null)],
      loadVoltagesOfA: new Map([[1200, 1190]]),
      loadVoltagesOfB: new Map([[1200, 1180]]),
      assumptions,
    });
    expect(rows).toEqual([]);
  });

  it("averages the load voltage over runs that kept running", () => {
    const runs = [1190, 1194, null].map((loadVoltageMv, n) =>
      run({ id: `${n}`, mountId: "m", loadVoltageMv }),
    );
    const crashed = run({ id: "c", mountId: "m", loadVoltageMv: 1100, outcome: "freeze" });
    expect([...loadVoltagesOf([...runs, crashed])]).toEqual([[1200, 1192]]);
  });
});
