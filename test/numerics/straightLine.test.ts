import { describe, expect, it } from "vitest";
import { straightLine } from "../../server/numerics/straightLine.ts";
import norris from "../reference/norris.json" with { type: "json" };

describe("straightLine(points)", () => {
  it("agrees with NIST's Norris to 11 digits", () => {
    const line = straightLine(norris.x.map((x, n) => [x, norris.y[n]!] as const))!;
    const relative = (found: number | undefined, certified: number) => Math.abs(found! / certified - 1);
    expect(relative(line.intercept, norris.b[0]!)).toBeLessThan(1e-11);
    expect(relative(line.slope, norris.b[1]!)).toBeLessThan(1e-11);
    expect(relative(line.interceptError, norris.sd[0]!)).toBeLessThan(1e-11);
    expect(relative(line.slopeError, norris.sd[1]!)).toBeLessThan(1e-11);
    expect(relative(line.residualDeviation, norris.residual)).toBeLessThan(1e-11);
    expect(line.degreesOfFreedom).toBe(norris.degreesOfFreedom);
  });
  it("two points leave no errors to tell", () => {
    expect(
      straightLine([
        [0, 1],
        [2, 5],
      ]),
    ).toMatchObject({ intercept: 1, slope: 2, slopeError: undefined });
  });
  it("is undefined without two different x", () => {
    expect(straightLine([])).toBeUndefined();
    expect(straightLine([[1, 1]])).toBeUndefined();
    expect(
      straightLine([
        [1, 1],
        [1, 2],
      ]),
    ).toBeUndefined();
  });
});
