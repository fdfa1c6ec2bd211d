import { describe, expect, it } from "vitest";
import { seededRandom } from "../../server/numerics/seededRandom.ts";
import { toleranceFactor } from "../../server/numerics/toleranceFactor.ts";
import published from "../reference/uncertainty.json" with { type: "json" };

describe("toleranceFactor(n, coverage, confidence)", () => {
  const { n, coverage, more } = published.toleranceFactors;

  it.each(coverage.map((share, index) => [share, more[index]!]))(
    "for n = 10 and %d is the tables' %d",
    (share, k) => {
      expect(toleranceFactor(n, share, 0.95)).toBeCloseTo(k, 5);
    },
  );

  it.each([2, 3, 5])("holds its confidence over simulated samples of %d", (count) => {
    const random = seededRandom(count);
    const k = toleranceFactor(count, 0.9, 0.95)!;
    let kept = 0;
    for (let sample = 0; sample < 4000; sample++) {
      const values = Array.from({ length: count }, () => random.normal());
      const centre = values.reduce((sum, value) => sum + value, 0) / count;
      const squares = values.reduce((sum, value) => sum + (value - centre) ** 2, 0);
      if (centre - k * Math.sqrt(squares / (count - 1)) < -1.2815516) kept++;
    }
    expect(kept / 4000).toBeGreaterThan(0.94);
    expect(kept / 4000).toBeLessThan(0.96);
  });

  it("is undefined for a single value or a share of nothing", () => {
    expect(toleranceFactor(1, 0.9, 0.95)).toBeUndefined();
    expect(toleranceFactor(5, 1, 0.95)).toBeUndefined();
  });
});
