import { describe, expect, it } from "vitest";
import { usualAssumptions } from "../../../server/bench/comparison/assumptions.ts";
import {
  type Effect,
  effectsByMeasure,
  effectsOf,
  effectsThatStand,
} from "../../../server/bench/comparison/changeEffects.ts";
import { judgedClock } from "../../../server/bench/comparison/clockApart.ts";

const effect = (over: Partial<Effect>): Effect => ({
  from: "a",
  to: "b",
  change: "paste",
  measure: "loadRise",
  unit: "°C",
  difference: 1,
  low: 0.5,
  high: 1.5,
  verdict: "differs",
  chance: 0.001,
  setting: "",
  runs: null,
  mounts: null,
  smallerThan: null,
  wouldDecide: null,
  ...over,
});

describe("effectsByMeasure", () => {
  it("puts the largest first whichever its sign, and last what nothing can be said of", () => {
    const [heat] = effectsByMeasure([
      effect({ change: "paste", difference: 1 }),
      effect({ change: "untold", difference: -9, verdict: "not-enough", low: null, high: null }),
      effect({ change: "panel", difference: -6 }),
    ]);
    expect(heat!.effects.map(({ change }) => change)).toEqual(["panel", "paste", "untold"]);
  });
  it("asks for heat and loudness before the rest", () => {
    const of = (["fan", "clock", "noise", "loadRise"] as const).map((measure) => effect({ measure }));
    expect(effectsByMeasure(of).map(({ measure }) => measure)).toEqual(["loadRise", "noise", "clock", "fan"]);
  });
});

describe("effectsThatStand", () => {
  it("drops what differs by itself and not among many", () => {
    const barely = Array.from({ length: 3 }, () => effect({ chance: 0.03 }));
    const sure = effect({ chance: 0.001, change: "panel" });
    const unsaid = effect({ chance: null, verdict: "not-enough" });
    expect(effectsThatStand([...barely, sure, unsaid])).toEqual([sure]);
    expect(effectsThatStand(barely.slice(0, 1))).toHaveLength(1);
  });
});

describe("effectsOf", () => {
  it("gives an observed clock its bracket as ends and no verdict, and a clock never held on both none", () => {
    const row = {
      voltageMv: 1200,
      aMhz: 4600,
      bMhz: 4650,
      differenceMhz: 50,
      low: null,
      high: null,
      verdict: "not-enough" as const,
      bracket: { atLeastMhz: 25, atMostMhz: 75 },
      limitsApartMhz: null,
      smallerThan: null,
      interpolated: null,
    };
    const rest = {
      ...{ clockUnit: "MHz" as const, offsets: null, clock: judgedClock(null, usualAssumptions) },
      ...{ sameSetting: [], noise: [], score: [] },
    };
    const change = { from: "a", to: "b", change: "paste" };
    expect(effectsOf(change, { ...rest, sameVoltage: [row] }, String)).toMatchObject([
      { measure: "clock", difference: 50, low: 25, high: 75, verdict: "not-enough" },
    ]);
    const apart = { differenceMhz: 40, low: 20, high: 60 };
    const clock = judgedClock(
      { ...apart, joint: true, voltages: [{ voltageMv: 1200, ...apart }] },
      usualAssumptions,
    );
    const [told] = effectsOf(change, { ...rest, clock, sameVoltage: [row] }, String);
    expect(told).toMatchObject({ measure: "clock", verdict: "differs" });
    expect(told?.chance).not.toBeNull();
    const noise = [30, 42, 38].map((a) => ({
      ...{
        measure: "noise",
        unit: "dB(A)",
        a,
        b: a + 1,
        difference: a / 10,
        low: null,
        high: null,
        distanceM: 0.5,
      },
      ...{ workloadId: null, clockMhz: null, voltageMv: null, runs: [1, 1], verdict: "not-enough" },
    }));
    const loud = (rows: readonly object[]) =>
      effectsOf(change, { ...rest, sameVoltage: [], noise: rows as never }, String).map(
        ({ difference }) => difference,
      );
    expect(loud(noise)).toEqual([4.2]);
    expect(loud([noise[0]!, noise[1]!, { ...noise[2]!, verdict: "within-scatter" }])).toEqual([3.8]);
    const never = { ...row, bMhz: null, differenceMhz: null, bracket: null };
    expect(effectsOf(change, { ...rest, sameVoltage: [never] }, String)).toEqual([]);
  });
});
