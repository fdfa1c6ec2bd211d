import { describe, expect, it } from "vitest";
import { monotoneFitOf } from "../../server/numerics/monotoneFit.ts";
import { seededRandom } from "../../server/numerics/seededRandom.ts";

/** Slow and obvious: the fitted value is the largest, over starts, of the smallest, over ends, mean of the stretch. */
function oracle(values: readonly number[], weights: readonly number[]): number[] {
  const mean = (from: number, to: number): number => {
    let sum = 0;
    let weight = 0;
    for (let i = from; i <= to; i++) {
      sum += weights[i]! * values[i]!;
      weight += weights[i]!;
    }
    return sum / weight;
  };
  return values.map((_, at) => {
    const starts = Array.from({ length: at + 1 }, (__, from) =>
      Math.min(...Array.from({ length: values.length - at }, (___, more) => mean(from, at + more))),
    );
    return Math.max(...starts);
  });
}

describe("monotoneFitOf", () => {
  it("agrees with the largest of smallest means on random input, weighted or not", () => {
    const random = seededRandom(11);
    for (let round = 0; round < 200; round++) {
      const values = Array.from({ length: 1 + random.index(12) }, () => random.index(6) + random.normal());
      const weights = values.map(() => 0.2 + random.uniform());
      const fitted = monotoneFitOf(values, weights);
      oracle(values, weights).forEach((expected, i) => {
        expect(fitted[i]).toBeCloseTo(expected, 10);
      });
    }
  });

  it("leaves rising values alone and pools falling ones to their mean", () => {
    expect(monotoneFitOf([1, 2, 3])).toEqual([1, 2, 3]);
    expect(monotoneFitOf([3, 2, 1])).toEqual([2, 2, 2]);
    expect(monotoneFitOf([])).toEqual([]);
  });
});
