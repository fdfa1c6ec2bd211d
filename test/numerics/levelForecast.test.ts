import { describe, expect, it } from "vitest";
import { levelForecast } from "../../server/numerics/levelForecast.ts";
import { seededRandom } from "../../server/numerics/seededRandom.ts";

function risen(length: number, slowTime: number, noise: number, seed = 1) {
  const { normal } = seededRandom(seed);
  const x = Float64Array.from({ length }, (_, at) => at);
  const y = x.map((at) => 70 - 18 * Math.exp(-at / 10) - 17 * Math.exp(-at / slowTime) + noise * normal());
  return { x, y };
}

describe("levelForecast", () => {
  it("finds the level of a quiet curve to a tenth, from a third of an hour and from five minutes to a degree", () => {
    for (const slowTime of [130, 190, 280]) {
      const { x, y } = risen(1200, slowTime, 0.05);
      expect(Math.abs((levelForecast(x, y, { step: 0 })?.level ?? 0) - 70)).toBeLessThan(0.15);
      const early = levelForecast(x.subarray(0, 300), y.subarray(0, 300), { step: 0 })!;
      expect(Math.abs(early.level - 70)).toBeLessThan(1);
    }
  });

  it("narrows as the run goes on, and says what is still missing and when it will be within one unit", () => {
    const { x, y } = risen(900, 190, 0.4);
    const halves = [300, 450, 600, 900].map((until) => {
      const { low, high } = levelForecast(x.subarray(0, until), y.subarray(0, until), { step: 0 })!;
      return (high - low) / 2;
    });
    expect(halves).toEqual([...halves].sort((a, b) => b - a));
    const { remainder, settledMid, settledLate } = levelForecast(x.subarray(0, 450), y.subarray(0, 450), {
      step: 0,
    })!;
    expect(Math.abs(remainder - 17 * Math.exp(-450 / 190))).toBeLessThan(0.8);
    expect(Math.abs(settledMid - 190 * Math.log(17))).toBeLessThan(120);
    expect(settledLate).toBeGreaterThanOrEqual(settledMid);
  });

  it("says of a slow loop at a quarter of an hour that degrees are missing still", () => {
    const { x, y } = risen(900, 700, 0.3);
    const { low, high, remainder } = levelForecast(x, y, { step: 0 })!;
    expect(low).toBeLessThan(70);
    expect(high).toBeGreaterThan(70);
    expect(remainder).toBeGreaterThan(2.5);
  });

  it("moves with the readings: fifty up is fifty up", () => {
    const { x, y } = risen(400, 190, 0.4);
    const first = levelForecast(x, y, { step: 0.5 })!;
    const shifted = levelForecast(
      x,
      y.map((value) => value + 50),
      { step: 0.5 },
    )!;
    expect(shifted.level - first.level).toBeCloseTo(50, 6);
    expect(shifted.high - shifted.low).toBeCloseTo(first.high - first.low, 6);
  });

  it("is undefined for fewer than eight bins", () => {
    const { x, y } = risen(70, 190, 0.3);
    expect(levelForecast(x, y, { step: 0 })).toBeUndefined();
    expect(levelForecast([], [], { step: 0 })).toBeUndefined();
  });
});
