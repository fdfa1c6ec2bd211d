import { describe, expect, it } from "vitest";
import { mean, pooledVariance, sampleVariance } from "../../server/numerics/moments.ts";

describe("mean, sampleVariance, pooledVariance", () => {
  it("give the textbook figures", () => {
    expect(mean([1, 2, 6])).toBe(3);
    expect(sampleVariance([1, 2, 6])).toBe(7);
  });
  it("centre before squaring: a large offset costs no digits", () => {
    expect(sampleVariance([1e9 + 1, 1e9 + 2, 1e9 + 6])).toBe(7);
  });
  it("keep every digit of NumAcc4 (certified mean 10000000.2, deviation 0.1; Statistical Reference Datasets, NIST)", () => {
    const numAcc4 = [
      10000000.2,
      ...Array.from({ length: 1000 }, (_, at) => (at % 2 === 0 ? 10000000.1 : 10000000.3)),
    ];
    expect(mean(numAcc4)).toBe(10000000.2);
    expect(Math.sqrt(sampleVariance(numAcc4)!)).toBeCloseTo(0.1, 8);
  });
  it("pool groups about their own means, weighed by degrees of freedom", () => {
    expect(pooledVariance([[1, 3], [10, 10, 10], [5]])).toEqual({
      variance: 2 / 3,
      degreesOfFreedom: 3,
    });
  });
  it("have no answer without enough values", () => {
    expect(mean([])).toBeUndefined();
    expect(sampleVariance([1])).toBeUndefined();
    expect(pooledVariance([[1], [2]])).toBeUndefined();
  });
});
