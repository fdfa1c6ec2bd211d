import { describe, expect, it } from "vitest";
import { type ScoredRun, scoreScalingOf } from "../../../server/bench/runs/score.ts";

const scored = (clockMhz: number, score: number, over: Partial<ScoredRun> = {}): ScoredRun => ({
  id: `${clockMhz}-${score}`,
  workloadId: "render",
  clockMhz,
  voltageMv: 1200,
  outcome: "pass",
  score,
  effectiveClockMhz: null,
  throttled: null,
  correctedErrors: null,
  loadTempC: null,
  ...over,
});
const repeated = (clockMhz: number, around: number, over: Partial<ScoredRun> = {}) =>
  [-2, 0, 2].map((off) => scored(clockMhz, around + off, over));

describe("how a result follows the clock", () => {
  it("a result that doubles with the clock has an elasticity of one", () => {
    const found = scoreScalingOf(
      [scored(2000, 100), scored(3000, 150), scored(4000, 200)],
      "render",
      "higher",
    );
    expect(found.elasticity).toBeCloseTo(1, 9);
    expect(found.falls).toEqual([]);
    expect(found.words).toContain("1.0 %");
  });
  it("a time that halves with twice the clock does too", () => {
    const found = scoreScalingOf([scored(2000, 60), scored(4000, 30)], "render", "lower");
    expect(found.elasticity).toBeCloseTo(1, 9);
    expect(found.elasticityLow).toBeNull();
    expect(found.words).toBe("Each per cent of clock brings 1.0 % of result.");
  });
  it("a higher clock that did worse is flagged, with what the record shows", () => {
    const runs = [...repeated(4700, 9380), ...repeated(4800, 9100, { correctedErrors: 12 })];
    const found = scoreScalingOf(runs, "render", "higher");
    expect(found.falls).toMatchObject([{ fromMhz: 4700, toMhz: 4800, isBeyondScatter: true }]);
    expect(found.words).toMatch(/^4800 MHz did 3\.0 % worse than 4700 MHz: errors were corrected/);
  });
  it("a fall within scatter is not made a story, and one from single runs is called that", () => {
    const within = scoreScalingOf([...repeated(4700, 9380), ...repeated(4800, 9379)], "render", "higher");
    expect(within.falls[0]).toMatchObject({ isBeyondScatter: false });
    expect(within.words).toContain("Each per cent");
    const single = scoreScalingOf([scored(4700, 9380), scored(4800, 9100)], "render", "higher");
    expect(single.falls[0]!.isBeyondScatter).toBeNull();
    expect(single.words).toContain("from single runs");
  });
  it("a dependable result lies below the mean by the tolerance factor, and needs three runs", () => {
    const found = scoreScalingOf([...repeated(4700, 9380), scored(4800, 9400)], "render", "higher");
    // The tables' one-sided factor for n = 3, 90 % and 95 % is 6.155 (NIST e-Handbook 7.2.6.3, from memory).
    expect(found.byClock[0]!.dependable).toBeCloseTo(9380 - 6.155 * 2, 1);
    expect(found.byClock[1]!.dependable).toBeNull();
  });
  it("crashed runs and other loads are not looked at; nothing is no answer", () => {
    const runs = [scored(4700, 100, { outcome: "freeze" }), scored(4700, 100, { workloadId: "other" })];
    expect(scoreScalingOf(runs, "render", "higher")).toMatchObject({ byClock: [], elasticity: null });
  });

  it("says what one run of a higher clock that did worse shows, else what to look at", () => {
    const told = (over: Partial<ScoredRun>) => {
      const [first, ...others] = repeated(4800, 90);
      const runs = [...repeated(4700, 100), { ...first!, ...over }, ...others];
      return scoreScalingOf(runs, "render", "higher").falls[0]?.check.map((words) => words.slice(0, 12));
    };
    expect(told({ correctedErrors: 2 })).toEqual(["errors were "]);
    expect(told({ throttled: true })).toEqual(["it throttled"]);
    expect(told({ effectiveClockMhz: 4700 })).toEqual(["the effectiv"]);
    expect(told({ effectiveClockMhz: 4790 })).toEqual(["read the eff", "repeat both "]);
  });
});
