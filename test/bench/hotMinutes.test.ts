import { describe, expect, it } from "vitest";
import { hotMinutes } from "../../server/bench/hotMinutes.ts";

/** Slow and obvious: the integral in steps of a thousandth of a minute. */
function oracle(minutes: number, riseC: number): number {
  let sum = 0;
  for (let at = 0.0005; at < minutes; at += 0.001)
    sum +=
      0.001 * Math.exp(-(0.00075 / 0.0022) * riseC * (0.6 * Math.exp(-at / 0.2) + 0.4 * Math.exp(-at / 3)));
  return sum;
}

describe("hotMinutes", () => {
  it("finds about three hot minutes in ten from cold, and about 53 in an hour", () => {
    expect(hotMinutes(10, 78, 33)).toBeGreaterThan(2.5);
    expect(hotMinutes(10, 78, 33)).toBeLessThan(4);
    expect(hotMinutes(60, 78, 33)).toBeGreaterThan(51);
    expect(hotMinutes(60, 78, 33)).toBeLessThan(55);
  });

  it("agrees with the integral in small steps to three hundredths of a minute", () => {
    for (const riseC of [0, 10, 44])
      for (const minutes of [0, 0.4, 3, 12, 45]) {
        const steepness = Math.round(2 * (0.00075 / 0.0022) * riseC) / 2;
        const rounded = (steepness * 0.0022) / 0.00075;
        expect(Math.abs(hotMinutes(minutes, 30 + riseC, 30) - oracle(minutes, rounded))).toBeLessThan(0.03);
      }
  });

  it("counts every minute where the chip starts hot, and none before it starts", () => {
    expect(hotMinutes(7, 50, 60)).toBeCloseTo(7, 9);
    expect(hotMinutes(0, 80, 30)).toBe(0);
  });
});
