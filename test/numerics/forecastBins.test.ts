import { describe, expect, it } from "vitest";
import { forecastBinsOf } from "../../server/numerics/forecastBins.ts";

const readings = (count: number, spacing = 1) => {
  const x = Float64Array.from({ length: count }, (_, at) => at * spacing);
  return { x, y: x.map((at) => 20 + at) };
};

describe("forecastBinsOf", () => {
  it("gathers every reading of five minutes into thirty bins of ten", () => {
    const { x, y } = readings(300);
    const bins = forecastBinsOf(x, y);
    expect(bins.map(({ count }) => count)).toEqual(Array(30).fill(10));
    expect(bins[3]).toEqual({ centre: 34.5, width: 10, count: 10, mean: 54.5 });
  });

  it("keeps a run of any length to about sixty, wide ones after the first five minutes", () => {
    for (const count of [900, 2700, 20_000]) {
      const { x, y } = readings(count);
      const bins = forecastBinsOf(x, y);
      expect(bins.length).toBeLessThanOrEqual(61);
      expect(bins.reduce((sum, bin) => sum + bin.count, 0)).toBeGreaterThanOrEqual(count - 1);
      expect(bins[10]?.width).toBe(10);
      expect(bins[40]?.width).toBeCloseTo((count - 1 - 300) / 30, 9);
    }
  });

  it("widens where readings are few, and leaves out a bin with hardly any", () => {
    const sparse = readings(60, 15);
    expect(forecastBinsOf(sparse.x, sparse.y)[0]?.width).toBe(60);
    const { x, y } = readings(300);
    const holed = [...x].filter((at) => at < 100 || at > 108);
    const bins = forecastBinsOf(
      holed,
      holed.map((at) => y[at] as number),
    );
    expect(bins.some(({ centre }) => centre >= 100 && centre < 110)).toBe(false);
    expect(bins).toHaveLength(29);
  });

  it("has no bins where there are no readings", () => {
    expect(forecastBinsOf([], [])).toEqual([]);
  });
});
