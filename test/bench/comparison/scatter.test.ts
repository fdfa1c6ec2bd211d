import { describe, expect, it } from "vitest";
import { readingStep, scatterOf } from "../../../server/bench/comparison/scatter.ts";

describe("the step that readings were taken in", () => {
  it("is the coarsest that has them all, from whole ones to thousandths", () => {
    expect(readingStep([80, 81, 79])).toBe(1);
    expect(readingStep([80.5, 81, 79])).toBe(0.5);
    expect(readingStep([80.3, 81, 79.5])).toBe(0.1);
    expect(readingStep([80.25, 80.3])).toBe(0.01);
    expect(readingStep([80.125, 80.3])).toBe(0.001);
    expect(readingStep([-0.3, 0])).toBe(0.1);
  });

  it("is not told of readings that are finer", () => {
    expect(readingStep([80.12345, 80])).toBeNull();
  });
});

describe("how far repeats lie apart", () => {
  it("is pooled over all that was repeated, and says over how much", () => {
    const scatter = scatterOf([[80, 82], [60, 61, 62], [50]], "runs")!;
    // Squares about each group's own mean: 2 of one degree of freedom, 2 of two.
    expect(scatter.standardDeviation).toBeCloseTo(Math.sqrt(4 / 3), 9);
    expect(scatter).toMatchObject({
      degreesOfFreedom: 3,
      from: "5 runs in 2 sets of repeats, pooled",
    });
    expect(scatterOf([[80, 82]], "mounts")?.from).toBe("2 mounts in 1 set of repeats, pooled");
  });

  it("is not known where nothing was repeated", () => {
    expect(scatterOf([[80], [60]], "runs")).toBeUndefined();
  });
});
