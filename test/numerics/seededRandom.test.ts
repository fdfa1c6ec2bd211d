import { describe, expect, it } from "vitest";
import { seededRandom } from "../../server/numerics/seededRandom.ts";

const many = (count: number, draw: () => number): number[] => Array.from({ length: count }, draw);
const mean = (values: readonly number[]): number =>
  values.reduce((sum, value) => sum + value, 0) / values.length;

describe("seededRandom(seed)", () => {
  it("repeats itself for the same seed and differs for another", () => {
    const first = many(5, seededRandom(7).uniform);
    expect(many(5, seededRandom(7).uniform)).toEqual(first);
    expect(many(5, seededRandom(8).uniform)).not.toEqual(first);
    expect(many(5, seededRandom(7 + 2 ** 32).uniform)).not.toEqual(first);
  });

  it("draws uniformly: every twentieth holds its share (chi-square under its 99.9 % point, 43.8 at 19)", () => {
    const { uniform } = seededRandom(1);
    const bins = new Array<number>(20).fill(0);
    for (const value of many(100_000, uniform)) bins[Math.floor(value * 20)]! += 1;
    const chiSquare = bins.reduce((sum, count) => sum + (count - 5000) ** 2 / 5000, 0);
    expect(chiSquare).toBeLessThan(43.8);
  });

  it("draws normals with mean 0, variance 1 and 5 % beyond 1.96", () => {
    const values = many(100_000, seededRandom(2).normal);
    expect(Math.abs(mean(values))).toBeLessThan(0.013);
    expect(mean(values.map((value) => value * value))).toBeCloseTo(1, 1);
    expect(mean(values.map((value) => (Math.abs(value) > 1.959964 ? 1 : 0)))).toBeCloseTo(0.05, 2);
  });

  it("draws exponentials with mean 1 and indices over their whole range", () => {
    const random = seededRandom(3);
    expect(mean(many(100_000, random.exponential))).toBeCloseTo(1, 1);
    expect(new Set(many(1000, () => random.index(6)))).toEqual(new Set([0, 1, 2, 3, 4, 5]));
  });
});
