import { describe, expect, it } from "vitest";
import { mtbfLowerS, survivalChances, surviveHours } from "../../../server/bench/frontier/exposureBound.ts";
import { noEvidence } from "../../../server/bench/frontier/frontierEvidence.ts";
import { seededRandom } from "../../../server/numerics/seededRandom.ts";

describe("mtbfLowerS", () => {
  it("lets a passed hour prove no more than twenty minutes", () => {
    expect(mtbfLowerS(3600, 0)! / 60).toBeCloseTo(20.03, 2);
  });

  it("stays under the truth in 95 of 100 test benches that stop after a fixed time", () => {
    const random = seededRandom(31);
    let under = 0;
    for (let bench = 0; bench < 4000; bench++) {
      const exposure = 3;
      let failures = 0;
      for (let at = random.exponential(); at < exposure; at += random.exponential()) failures += 1;
      if (mtbfLowerS(exposure, failures)! <= 1) under += 1;
    }
    expect(under / 4000).toBeGreaterThan(0.945);
  });

  it("is null without exposure", () => {
    expect(mtbfLowerS(0, 0)).toBeNull();
    expect(survivalChances(0, 0, 1)).toBeNull();
  });
});

describe("survivalChances", () => {
  it("gives both figures: nearly nothing proven and even odds a bit better after one clean hour", () => {
    const { lower, expected } = survivalChances(3600, 0, 1)!;
    expect(lower).toBeCloseTo(0.05, 10);
    expect(expected).toBeCloseTo(Math.SQRT1_2, 10);
  });

  it("is told for an hour and for eight, each by its own length", () => {
    const [exposureS, bound] = [36_000, 36_000 / -Math.log(0.05)];
    const told = surviveHours(exposureS);
    expect(Object.keys(told)).toEqual(["1", "8"]);
    for (const [hours, chances] of Object.entries(told)) {
      const jobS = 3600 * Number(hours);
      expect(chances?.lower).toBeCloseTo(Math.exp(-jobS / bound), 9);
      expect(chances?.expected).toBeCloseTo(Math.sqrt(exposureS / (exposureS + jobS)), 9);
    }
  });

  it("is told as null, each figure in its place, where nothing was survived", () => {
    const unknown = { lower: null, expected: null };
    expect(surviveHours(0)).toEqual({ 1: unknown, 8: unknown });
    expect(noEvidence.surviveHours).toEqual({ 1: unknown, 8: unknown });
  });

  it("falls with every failure", () => {
    expect(survivalChances(36_000, 1, 1)!.expected).toBeLessThan(survivalChances(36_000, 0, 1)!.expected);
  });
});
