import { describe, expect, it } from "vitest";
import { blockMean } from "../../server/numerics/blockMean.ts";
import { seededRandom } from "../../server/numerics/seededRandom.ts";

/** How often the interval holds the true mean, 0, over so many series. */
function coverage(runs: number, memory: number, told: number): number {
  let held = 0;
  for (let seed = 1; seed <= runs; seed += 1) {
    const random = seededRandom(seed);
    const keep = memory > 0 ? Math.exp(-1 / memory) : 0;
    let value = random.normal();
    const series = Array.from({ length: 180 }, () => {
      value = keep * value + Math.sqrt(1 - keep * keep) * random.normal();
      return value;
    });
    const { low, high } = blockMean(series, { memory: told })!;
    if (low <= 0 && high >= 0) held += 1;
  }
  return held / runs;
}

describe("blockMean", () => {
  it("holds the true mean in about 95 of 100 series, independent or with a memory that is told", () => {
    expect(coverage(2000, 0, 0)).toBeGreaterThan(0.935);
    expect(coverage(2000, 0, 0)).toBeLessThan(0.965);
    expect(coverage(2000, 12, 12)).toBeGreaterThan(0.935);
    expect(coverage(2000, 12, 12)).toBeLessThan(0.97);
  });

  it("would hold it too rarely were the memory not told: the premise of telling it", () => {
    expect(coverage(2000, 12, 0)).toBeLessThan(0.925);
  });

  it("counts as many independent values as would be as sure", () => {
    const random = seededRandom(3);
    const series = Array.from({ length: 5000 }, () => random.normal());
    const { independent } = blockMean(series)!;
    expect(independent).toBeGreaterThan(500);
    expect(blockMean(Array.from({ length: 50 }, () => 4))!.independent).toBe(1);
  });

  it("adds the twelfth of the squared step where the values hide within one", () => {
    const { low, high, mean } = blockMean(
      Array.from({ length: 100 }, () => 61),
      { step: 1 },
    )!;
    expect(mean).toBe(61);
    expect((high - low) / 2).toBeCloseTo(2.776445 * Math.sqrt(1 / 12 + 1 / 1200), 4);
  });

  it("is undefined for fewer than ten values", () => {
    expect(blockMean([1, 2, 3])).toBeUndefined();
    expect(blockMean([])).toBeUndefined();
  });
});
