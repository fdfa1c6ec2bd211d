import { describe, expect, it } from "vitest";
import { repeatsToDecide, sidedDigits, verdictOf } from "../../../server/bench/comparison/verdict.ts";

describe("how many repeats of each build would tell a difference", () => {
  // Two-sided 95 % points of Student's t by handbook: 4.303 of 2 degrees, 2.776 of 4, 2.447 of 6; 1.960 of a normal.
  it("is as many as bring the interval of their means under it", () => {
    for (const [each, t] of [
      [2, 4.303],
      [3, 2.776],
      [4, 2.447],
    ] as const) {
      const interval = t * Math.sqrt(2 / each);
      expect([repeatsToDecide(1.001 * interval, 1), repeatsToDecide(-2.002 * interval, 2)]).toEqual([
        each,
        each,
      ]);
      expect(repeatsToDecide(0.999 * interval, 1)).toBe(each + 1);
    }
  });

  it("is fewer where the scatter is known already, and none where thirty would not do", () => {
    expect(repeatsToDecide(1.97, 1, 1e6)).toBe(2);
    expect(repeatsToDecide(0.5, 1)).not.toBe(repeatsToDecide(0.55, 1));
    expect(repeatsToDecide(0.4, 1)).toBeNull();
  });
});

describe("what may be said of a difference", () => {
  it("is that it differs where its interval leaves zero out, an open end counting as far away", () => {
    expect([verdictOf(0.1, 2), verdictOf(-2, -0.1), verdictOf(0.1, null), verdictOf(null, -0.1)]).toEqual(
      Array.from({ length: 4 }, () => "differs"),
    );
    expect([verdictOf(0, 2), verdictOf(-2, 0), verdictOf(-1, 1)]).toEqual(
      Array.from({ length: 3 }, () => "within-scatter"),
    );
    expect([verdictOf(null, null), verdictOf(-1, null), verdictOf(null, 1)]).toEqual(
      Array.from({ length: 3 }, () => "not-enough"),
    );
  });

  it("is printed with as many digits as keep each end on its own side of zero", () => {
    expect([sidedDigits(1, 0.4, 2), sidedDigits(1, 0.04, 2), sidedDigits(0, -3, -0.004)]).toEqual([1, 2, 3]);
    expect([sidedDigits(1, 0, 2), sidedDigits(1, null, null), sidedDigits(1, 1e-12, 1)]).toEqual([1, 1, 6]);
  });
});
