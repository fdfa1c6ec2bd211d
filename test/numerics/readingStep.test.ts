import { describe, expect, it } from "vitest";
import { readingStep, roundingUncertainty } from "../../server/numerics/readingStep.ts";

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

  it("adds its rounding where it hides the scatter, and nothing where the scatter shows it", () => {
    // JCGM 100:2008 F.2.2.1: a step of 1 alone is a standard uncertainty of 0.29.
    expect(roundingUncertainty(1, 0)).toBeCloseTo(0.2887, 4);
    expect(roundingUncertainty(1, 0.29)).toBeCloseTo(0.2887, 4);
    expect(roundingUncertainty(1, 0.31)).toBe(0);
    expect(roundingUncertainty(null, 0)).toBe(0);
  });
});
