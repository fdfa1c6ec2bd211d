import { describe, expect, it } from "vitest";
import { combinedUncertainty } from "../../server/numerics/combinedUncertainty.ts";
import { studentCdf } from "../../server/numerics/distributions.ts";
import { mean, sampleVariance } from "../../server/numerics/moments.ts";
import published from "../reference/uncertainty.json" with { type: "json" };

describe("combinedUncertainty(contributions)", () => {
  it("agrees with the end gauge of GUM H.1: 16 degrees of freedom from the unrounded uncertainty, U99 93 nm", () => {
    const { standard, degreesOfFreedom, combined, effectiveUsed, t99, expanded99 } = published.gumH1;
    const parts = standard.map((u, n) => ({ standard: u, degreesOfFreedom: degreesOfFreedom[n]! }));
    const total = combinedUncertainty(parts, 0.99)!;
    expect(total.standard).toBeCloseTo(combined, 2);
    expect(total.degreesOfFreedom).toBe(effectiveUsed);
    expect(total.expanded / total.standard).toBeCloseTo(t99, 2);
    expect(Math.abs(total.expanded - expanded99)).toBeLessThan(1);
  });

  it("agrees with GUM G.4.1, where 18.9987 is truncated down and not rounded", () => {
    const { standard, n, combined } = published.gumG41;
    const total = combinedUncertainty(
      standard.map((u, index) => ({ standard: u, degreesOfFreedom: n[index]! - 1 })),
    )!;
    expect(total.standard).toBeCloseTo(combined, 2);
    expect(total.degreesOfFreedom).toBe(18);
  });

  it("is Welch's comparison on Student's sleep data, up to the truncation of 17.776 to 17", () => {
    const { first, second, t, p, ci95 } = published.studentSleep;
    const parts = [first, second].map((group) => ({
      standard: Math.sqrt(sampleVariance(group)! / group.length),
      degreesOfFreedom: group.length - 1,
    }));
    const total = combinedUncertainty(parts)!;
    const difference = mean(first)! - mean(second)!;
    expect(difference / total.standard).toBeCloseTo(t, 4);
    expect(total.degreesOfFreedom).toBe(17);
    expect(2 * studentCdf(t, published.studentSleep.df)!).toBeCloseTo(p, 4);
    const [low, high] = [difference - total.expanded, difference + total.expanded];
    expect(low).toBeLessThan(ci95[0]!);
    expect(high).toBeGreaterThan(ci95[1]!);
    expect(high - low).toBeLessThan((ci95[1]! - ci95[0]!) * 1.005);
  });

  it("stated contributions alone have the normal factor", () => {
    const total = combinedUncertainty([{ standard: 2, degreesOfFreedom: Infinity }])!;
    expect(total.degreesOfFreedom).toBe(Infinity);
    expect(total.expanded).toBeCloseTo(3.92, 2);
  });

  it("two equal contributions have exactly twice the degrees of freedom", () => {
    for (let n = 1; n < 40; n++) {
      const part = { standard: 0.1 * n, degreesOfFreedom: n };
      expect(combinedUncertainty([part, part])!.degreesOfFreedom).toBe(2 * n);
    }
  });

  it("is undefined below one degree of freedom", () => {
    expect(combinedUncertainty([{ standard: 1, degreesOfFreedom: 0.5 }])).toBeUndefined();
  });
});
