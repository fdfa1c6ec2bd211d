import { describe, expect, it } from "vitest";
import {
  betaQuantile,
  chiSquareQuantile,
  gammaLowerTail,
  gammaUpperTail,
  normalCdf,
  normalQuantile,
  studentCdf,
  studentQuantile,
  varianceRatioQuantile,
} from "../../server/numerics/distributions.ts";

/** Expected values without another source were computed with SciPy 1.17 (scipy.stats). */
const relative = (found: number | undefined, expected: number): number =>
  Math.abs((found ?? Number.NaN) / expected - 1);

describe("normalCdf and normalQuantile", () => {
  it("keep their digits in the far tail", () => {
    expect(relative(normalCdf(-10), 7.61985302416047e-24)).toBeLessThan(1e-12);
    expect(relative(normalCdf(-37), 5.725571222524577e-300)).toBeLessThan(1e-11);
    expect(relative(normalCdf(1.96), 0.9750021048517795)).toBeLessThan(1e-14);
    expect(normalCdf(40)).toBe(1);
  });

  it("undo one another over 24 decades", () => {
    for (const probability of [1e-24, 1e-12, 1e-5, 0.02, 0.5, 0.9, 0.999])
      expect(relative(normalCdf(normalQuantile(probability)!), probability)).toBeLessThan(1e-12);
    expect(relative(normalQuantile(1e-12), -7.034483825301131)).toBeLessThan(1e-13);
    expect(relative(normalQuantile(0.975), 1.959963984540054)).toBeLessThan(1e-13);
  });

  it("give no quantile outside 0 to 1", () => {
    expect([0, 1, -1, Number.NaN].map(normalQuantile)).toEqual([undefined, undefined, undefined, undefined]);
  });
});

describe("gamma tails and chi-square", () => {
  it("agree with exponentials and Poisson sums written out", () => {
    expect(relative(gammaUpperTail(1, 50), Math.exp(-50))).toBeLessThan(1e-13);
    expect(relative(gammaLowerTail(1, 1e-12), -Math.expm1(-1e-12))).toBeLessThan(1e-12);
    const threeOrFewer = Math.exp(-2.5) * (1 + 2.5 + 2.5 ** 2 / 2 + 2.5 ** 3 / 6);
    expect(relative(gammaUpperTail(4, 2.5), threeOrFewer)).toBeLessThan(1e-13);
  });

  it("have quantiles in both tails", () => {
    expect(relative(chiSquareQuantile(0.95, 2), 5.991464547107979)).toBeLessThan(1e-12);
    expect(relative(chiSquareQuantile(1e-10, 3), 5.20939762143448e-7)).toBeLessThan(1e-10);
    expect(relative(chiSquareQuantile(0.95, 10_002), 10235.772158815373)).toBeLessThan(1e-10);
    expect(relative(gammaUpperTail(1.5, 100), 4.218541107192018e-43)).toBeLessThan(1e-11);
  });

  it("answer undefined where there is none", () => {
    expect(gammaUpperTail(0, 1)).toBeUndefined();
    expect(gammaUpperTail(1, -1)).toBeUndefined();
    expect(chiSquareQuantile(0.5, 0)).toBeUndefined();
    expect(studentQuantile(0.5, 0)).toBeUndefined();
    expect(betaQuantile(0.5, 0, 1)).toBeUndefined();
  });
});

describe("Student's t", () => {
  it("matches tables at few and at many degrees of freedom", () => {
    expect(relative(studentQuantile(0.975, 4), 2.7764451051977987)).toBeLessThan(1e-7);
    expect(relative(studentQuantile(0.95, 3.7), 2.1824938039146007)).toBeLessThan(1e-6);
    expect(relative(studentQuantile(0.975, 1e9), 1.959963984540054)).toBeLessThan(1e-6);
    expect(relative(studentCdf(-8, 2.5), 0.0038283220655217234)).toBeLessThan(1e-6);
  });
});

describe("varianceRatioQuantile(probability, degreesAbove, degreesBelow)", () => {
  it("agrees with the tables of F (handbook values from memory)", () => {
    expect(varianceRatioQuantile(0.95, 1, 5)).toBeCloseTo(6.608, 3);
    expect(varianceRatioQuantile(0.95, 4, 10)).toBeCloseTo(3.478, 3);
    expect(varianceRatioQuantile(0.975, 2, 2)).toBeCloseTo(39, 6);
    expect(varianceRatioQuantile(0.99, 10, 4)).toBeCloseTo(14.546, 3);
  });
  it("turned round it is the inverse", () => {
    expect(varianceRatioQuantile(0.1, 3, 7)! * varianceRatioQuantile(0.9, 7, 3)!).toBeCloseTo(1, 9);
  });
  it("is undefined without degrees of freedom", () => {
    expect(varianceRatioQuantile(0.5, 0, 3)).toBeUndefined();
  });
});
