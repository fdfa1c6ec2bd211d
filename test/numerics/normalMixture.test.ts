import { describe, expect, it } from "vitest";
import { normalQuantile } from "../../server/numerics/distributions.ts";
import { normalMixtureQuantile } from "../../server/numerics/normalMixture.ts";
import { seededRandom } from "../../server/numerics/seededRandom.ts";

describe("normalMixtureQuantile", () => {
  it("is the normal's own quantile where there is one part", () => {
    for (const p of [0.001, 0.025, 0.5, 0.9, 0.975])
      expect(normalMixtureQuantile([{ weight: 3, mean: 70, deviation: 2 }], p)).toBeCloseTo(
        70 + 2 * (normalQuantile(p) as number),
        4,
      );
  });

  it("agrees with the sorted draws of a mixture", () => {
    const parts = [
      { weight: 0.2, mean: 60, deviation: 0.1 },
      { weight: 0.5, mean: 70, deviation: 3 },
      { weight: 0.3, mean: 85, deviation: 1 },
    ];
    const { normal, uniform } = seededRandom(5);
    const draws = Float64Array.from({ length: 200_000 }, () => {
      const at = uniform();
      const part = parts[at < 0.2 ? 0 : at < 0.7 ? 1 : 2]!;
      return part.mean + part.deviation * normal();
    }).sort();
    for (const p of [0.1, 0.3, 0.6, 0.9, 0.975]) {
      const quantile = normalMixtureQuantile(parts, p) as number;
      const below = draws.findIndex((draw) => draw > quantile) / draws.length;
      expect(Math.abs(below - p)).toBeLessThan(0.004);
    }
  });

  it("finds its way where the density all but vanishes between two narrow parts", () => {
    const parts = [
      { weight: 0.5, mean: 0, deviation: 0.001 },
      { weight: 0.5, mean: 100, deviation: 0.001 },
    ];
    expect(normalMixtureQuantile(parts, 0.25)).toBeCloseTo(0, 4);
    expect(normalMixtureQuantile(parts, 0.75)).toBeCloseTo(100, 4);
    expect(normalMixtureQuantile(parts, 0.975)).toBeCloseTo(100 + 0.001 * 1.644854, 5);
  });

  it("is undefined without parts and outside 0 < probability < 1", () => {
    expect(normalMixtureQuantile([], 0.5)).toBeUndefined();
    for (const p of [0, 1, Number.NaN])
      expect(normalMixtureQuantile([{ weight: 1, mean: 0, deviation: 1 }], p)).toBeUndefined();
  });
});
