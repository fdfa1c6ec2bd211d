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
