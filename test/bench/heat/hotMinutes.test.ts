import { describe, expect, it } from "vitest";
import { hotMinutes } from "../../../server/bench/heat/hotMinutes.ts";

const usual = 0.00075 / 0.0022;

/** Slow and obvious: the integral in steps of a thousandth of a minute. */
function oracle(minutes: number, riseC: number, perC: number): number {
  let sum = 0;
  for (let at = 0.0005; at < minutes; at += 0.001)
    sum += 0.001 * Math.exp(-perC * riseC * (0.6 * Math.exp(-at / 0.2) + 0.4 * Math.exp(-at / 3)));
  return sum;
}

describe("hotMinutes", () => {
  it("finds about three hot minutes in ten from cold, and about 53 in an hour", () => {
    expect(hotMinutes(10, 45, usual)).toBeGreaterThan(2.5);
    expect(hotMinutes(10, 45, usual)).toBeLessThan(4);
    expect(hotMinutes(60, 45, usual)).toBeGreaterThan(51);
    expect(hotMinutes(60, 45, usual)).toBeLessThan(55);
  });

  it("agrees with the integral in small steps to four hundredths of a minute, for limits of any softness", () => {
    for (const riseC of [0, 3, 10, 44])
      for (const perC of [0.03, 0.11, usual, 1.3])
        for (const minutes of [0, 0.4, 3, 12, 45])
          expect(
            Math.abs(hotMinutes(minutes, riseC, perC) - oracle(minutes, riseC, perC)),
            `${riseC} °C, ${perC} per °C, ${minutes} min`,
          ).toBeLessThan(0.04);
  });

  it("grows with every second, and never by more than that second", () => {
    for (const [riseC, perC] of [
      [3, 0.03],
      [45, usual],
      [44, 1.3],
    ] as const) {
      const bySecond = Array.from({ length: 3600 }, (_, s) => hotMinutes(s / 60, riseC, perC));
      const grown = bySecond.slice(1).map((at, s) => at - bySecond[s]!);
      expect(Math.min(...grown), `${riseC} °C`).toBeGreaterThan(0);
      expect(Math.max(...grown), `${riseC} °C`).toBeLessThanOrEqual(1 / 60 + 1e-9);
    }
  });

  it("holds at the steepest it is kept for", () => {
    const [steep, steeper] = [5, 50].map((perC) => hotMinutes(60, 100, perC));
    expect(steep).toBe(steeper);
    expect(steep).toBeGreaterThan(30);
    expect(steep).toBeLessThan(hotMinutes(60, 45, usual));
  });

  it("counts every minute where the chip starts hot, and none before it starts", () => {
    expect(hotMinutes(7, -10, usual)).toBeCloseTo(7, 9);
    expect(hotMinutes(0, 50, usual)).toBe(0);
  });
});
