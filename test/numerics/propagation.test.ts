import { describe, expect, it } from "vitest";
import { combinedUncertainty, coverageFactor } from "../../server/numerics/combinedUncertainty.ts";
import { propagated } from "../../server/numerics/propagation.ts";

/**
 * Source: JCGM 100:2008 (GUM), annex H.1, the end gauge: 32 and 34 nm, 16 degrees of freedom and 93 nm seen in a copy,
 * 2.92 from memory; the digits beyond them reckoned anew.
 */
describe("the GUM's end gauge", () => {
  const inputs = [
    { estimate: 50_000_623, standard: 25 },
    { estimate: 215, standard: 9.7 },
    { estimate: 0, standard: 0.58e-6 },
    { estimate: -0.1, standard: 0.41 },
    { estimate: 11.5e-6, standard: 1.2e-6 },
    { estimate: 0, standard: 0.029 },
  ];
  const length = ([gauge, apart, byHeat, warmth, swelling, warmer]: readonly number[]): number =>
    gauge! + apart! - gauge! * (byHeat! * warmth! + swelling! * warmer!);

  it("has 32 nm by first-order terms and 34 nm with the second", () => {
    const { value, firstOrder, secondOrder } = propagated(length, inputs);
    expect(value).toBe(50_000_838);
    expect(Math.abs(firstOrder - 31.71)).toBeLessThan(0.01);
    expect(Math.abs(secondOrder - 33.911)).toBeLessThan(0.01);
    expect([Math.round(firstOrder), Math.round(secondOrder)]).toEqual([32, 34]);
  });

  it("is expanded to 93 nm at 99 % with 16 degrees of freedom", () => {
    const parts = [25, 9.7, 2.9, 16.6].map((standard, i) => ({
      standard,
      degreesOfFreedom: [18, 25.6, 50, 2][i]!,
    }));
    const total = combinedUncertainty(parts, 0.99)!;
    expect(total.degreesOfFreedom).toBe(16);
    expect(coverageFactor(0.99, 16)).toBeCloseTo(2.92, 2);
    expect(Math.round(total.expanded)).toBe(93);
  });
});
