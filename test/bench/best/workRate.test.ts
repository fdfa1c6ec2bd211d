import { describe, expect, it } from "vitest";
import {
  scoredRunsOf,
  type WorkRate,
  type WorkRun,
  workRateOf,
} from "../../../server/bench/best/workRate.ts";
import { testWorkload } from "../../support/evidenceRows.ts";

let made = 0;
const run = (clockMhz: number, score: number | null, over: Partial<WorkRun> = {}): WorkRun => ({
  id: `run-${made++}`,
  workloadId: "stacking",
  clockMhz,
  voltageMv: 1200,
  outcome: "pass",
  score,
  effectiveClockMhz: null,
  throttled: null,
  correctedErrors: null,
  loadTempC: null,
  clockMode: null,
  ...over,
});
const stacking = testWorkload("stacking", { scoreUnit: "frames/min", scoreBetter: "higher" });
const timed = testWorkload("timed", { scoreUnit: "s", scoreBetter: "lower" });
const rateOf = (runs: readonly WorkRun[], asked: string | null = null): WorkRate => {
  const rate = workRateOf(runs, [stacking, timed], asked);
  if ("unknown" in rate) throw new Error(rate.unknown);
  return rate;
};

describe("workRateOf", () => {
  it("reads the score between two scored clocks along a line in the logarithms", () => {
    const rate = rateOf([run(4000, 40), run(5000, 45)]);
    const between = 40 * (4500 / 4000) ** (Math.log(45 / 40) / Math.log(5 / 4));
    expect(rate.scoreAt(4000)).toBeCloseTo(40, 9);
    expect(rate.scoreAt(4500)).toBeCloseTo(between, 9);
    expect(rate.workAt(5000) / rate.workAt(4000)).toBeCloseTo(45 / 40, 9);
    expect(rate).toMatchObject({ workloadId: "stacking", runs: 2, fromMhz: 4000, toMhz: 5000 });
    const inTurn = rateOf([run(4500, 43), run(5000, 45), run(4000, 40)]);
    expect(inTurn).toMatchObject({ runs: 3, fromMhz: 4000, toMhz: 5000 });
  });

  it("counts a shorter time as more work, and still tells it as a time", () => {
    const under = { workloadId: "timed" };
    const rate = rateOf([run(4000, 60, under), run(5000, 50, under)]);
    expect(rate.workAt(5000) / rate.workAt(4000)).toBeCloseTo(60 / 50, 9);
    expect(rate.scoreAt(5000)).toBeCloseTo(50, 9);
  });

  it("lets work grow no faster than the clock, and never shrink for scatter's sake", () => {
    const steep = rateOf([run(4000, 40), run(4400, 48)]);
    expect(steep.workAt(4400) / steep.workAt(4000)).toBeCloseTo(1.1, 9);
    const falling = rateOf([run(4000, 40), run(4400, 39.8)]);
    expect(falling.workAt(4400) / falling.workAt(4000)).toBeCloseTo(1, 9);
  });

  it("counts no more work from a clock on that did worse than a lower one beyond scatter", () => {
    const thrice = (clockMhz: number, around: number) =>
      [-0.05, 0, 0.05].map((off) => run(clockMhz, around + off));
    const rate = rateOf([...thrice(4000, 40), ...thrice(4400, 43), ...thrice(4800, 38)]);
    expect(rate.workAt(4800)).toBe(rate.workAt(4400));
    expect(rate.scoreAt(4400)).toBeCloseTo(43, 0);
  });

  it("takes the load asked for, else the one scored over the widest span of clocks", () => {
    const runs = [
      ...[4000, 5000].map((clockMhz) => run(clockMhz, clockMhz / 100)),
      ...[4000, 4100, 4200].map((clockMhz) => run(clockMhz, 60, { workloadId: "timed" })),
    ];
    expect(rateOf(runs).workloadId).toBe("stacking");
    expect(rateOf(runs, "timed").workloadId).toBe("timed");
  });

  it("says why it has no answer: no score, none under the load asked for, one clock only", () => {
    const why = (runs: readonly WorkRun[], asked: string | null = null) =>
      workRateOf(runs, [stacking, timed, testWorkload("rest", { kind: "idle" })], asked);
    expect(why([])).toEqual({ unknown: "no attempt carries a score" });
    expect(why([run(4000, null)])).toEqual({ unknown: "no attempt carries a score" });
    expect(why([run(4000, 9, { workloadId: "rest" })])).toEqual({ unknown: "no attempt carries a score" });
    expect(why([run(4000, 40)], "timed")).toEqual({ unknown: "no attempt under this load carries a score" });
    expect(why([run(4000, 40), run(4025, 41)])).toMatchObject({
      unknown: expect.stringMatching(/^stacking/),
    });
  });
});

describe("scoredRunsOf", () => {
  it("leaves out crashes and boost, and counts a slowed run at the clock it ran at", () => {
    const told = scoredRunsOf([
      run(4000, 40),
      run(4100, 41, { outcome: "freeze" }),
      run(4200, 42, { clockMode: "boost" }),
      run(4300, 43, { throttled: true }),
      run(4400, 42, { effectiveClockMhz: 4200 }),
      run(4500, 0),
    ]);
    expect(told.map(({ clockMhz }) => clockMhz)).toEqual([4000, 4200]);
    expect(scoredRunsOf(told)).toEqual(told);
  });
});
