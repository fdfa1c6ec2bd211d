import { describe, expect, it } from "vitest";
import { seededRandom } from "../../server/numerics/seededRandom.ts";
import { weightedQuantilesOf } from "../../server/numerics/weightedQuantiles.ts";

describe("weightedQuantilesOf", () => {
  it("counts a whole-number weight like as many copies, to the spacing of the values", () => {
    const random = seededRandom(21);
    for (let round = 0; round < 100; round++) {
      const values = Array.from({ length: 30 }, () => random.normal());
      const weights = values.map(() => 1 + random.index(4));
      const copies = values
        .flatMap((value, i) => new Array<number>(weights[i]!).fill(value))
        .sort((a, b) => a - b);
      for (const p of [0.05, 0.5, 0.95]) {
        const found = weightedQuantilesOf(values, weights, [p])![0]!;
        const place = p * copies.length;
        expect(found).toBeGreaterThanOrEqual(copies[Math.max(0, Math.floor(place - 4))]!);
        expect(found).toBeLessThanOrEqual(copies[Math.min(copies.length - 1, Math.ceil(place + 3))]!);
      }
    }
  });

  it("finds the quantiles of a normal from many equal weights", () => {
    const { normal } = seededRandom(22);
    const values = Float64Array.from({ length: 40_000 }, normal);
    const [low, mid, high] = weightedQuantilesOf(
      values,
      new Float64Array(40_000).fill(1),
      [0.05, 0.5, 0.95],
    )!;
    expect(low).toBeCloseTo(-1.645, 1);
    expect(mid).toBeCloseTo(0, 1);
    expect(high).toBeCloseTo(1.645, 1);
  });

  it("leaves out values of no weight and is undefined without any", () => {
    expect(weightedQuantilesOf([1, 2, 1e9], [1, 1, 0], [1])).toEqual([2]);
    expect(weightedQuantilesOf([7], [0.3], [0.05, 0.95])).toEqual([7, 7]);
    expect(weightedQuantilesOf([], [], [0.5])).toBeUndefined();
    expect(weightedQuantilesOf([1], [0], [0.5])).toBeUndefined();
  });
});
