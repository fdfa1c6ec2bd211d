import { describe, expect, it } from "vitest";
import { usualAssumptions } from "../../../server/bench/comparison/assumptions.ts";
import { type JudgedApart, smallerThan } from "../../../server/bench/comparison/clockApart.ts";
import { loadVoltagesOf, sameLoadVoltageRows } from "../../../server/bench/comparison/sameLoadVoltage.ts";
import { type ClockAtVoltage, sameVoltageRows } from "../../../server/bench/comparison/sameVoltage.ts";
import { sidedDigits } from "../../../server/bench/comparison/verdict.ts";
import { fittedApart, run } from "./benchDay.ts";

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

  it("is judged by the fit of both builds; a real difference under one clock step is called so", () => {
    const ask = (differenceMhz: number, low: number | null, high: number | null) =>
      sameVoltageRows({
        a: [point(1200, 4700, 4725)],
        b: [point(1200, 4700, 4725)],
        apart: fittedApart(differenceMhz, low, high),
        assumptions,
      })[0]!;
    expect(ask(50, 30, 70)).toMatchObject({ verdict: "differs", smallerThan: null, limitsApartMhz: 50 });
    expect(ask(20, -20, 60)).toMatchObject({ verdict: "within-scatter" });
    expect(ask(15, 10, 20)).toMatchObject({ verdict: "differs", smallerThan: "clock-step" });
    expect(ask(-50, null, 10)).toMatchObject({ low: null, verdict: "not-enough" });
    expect(ask(-50, null, -10)).toMatchObject({ low: null, verdict: "differs" });
  });
});

describe("smallerThan(judged, assumptions)", () => {
  const size = (differenceMhz: number, clockStepMhz: number, clock?: number) =>
    smallerThan({ differenceMhz, verdict: "differs" } as JudgedApart, {
      clockStepMhz,
      worthHaving: clock === undefined ? {} : { clock },
    });

  it("says which bound a difference stays under, either way, and none where nobody said what is worth having", () => {
    expect(size(15, 25)).toBe("clock-step");
    expect([size(30, 25, 50), size(-30, 25, 50), size(50, 25, 50)]).toEqual([
      "worth-having",
      "worth-having",
      null,
    ]);
    expect(size(0.8, 0.5)).toBeNull();
  });
});

describe("sidedDigits(digits, ...ends)", () => {
  it.each([
    [0, [-8, -0.4], 1],
    [0, [-108, 0.04], 2],
    [0, [-8, -3], 0],
    [1, [0, 0.2], 1],
    [1, [null, 0.04], 2],
  ] as const)("from %d digits for %j takes %d, so that no end is rounded to zero", (digits, ends, enough) => {
    expect(sidedDigits(digits, ...ends)).toBe(enough);
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
