import { describe, expect, it } from "vitest";
import { studentCdfOfFour } from "../../server/bench/limit/sharpness.ts";
import { normalCdf, normalQuantile, studentCdf } from "../../server/numerics/distributions.ts";
import { quantileMap, straightMap } from "../../server/numerics/quantileMap.ts";

describe("quantileMap", () => {
  it("gives a normal's own quantiles, to a thousandth within three deviations", () => {
    const map = quantileMap((x) => normalCdf((x - 2) / 0.5), [-10, 10]);
    for (let u = -3; u <= 3; u += 0.137) expect(map.at(u)).toBeCloseTo(2 + 0.5 * u, 3);
  });

  it("carries a standard normal coordinate to the distribution given", () => {
    const map = quantileMap((x) => studentCdf(x, 4)!, [-100, 100]);
    for (const p of [0.01, 0.2, 0.5, 0.7, 0.99])
      expect(studentCdf(map.at(normalQuantile(p)!), 4)).toBeCloseTo(p, 3);
  });

  it("has the slope that differences show, and goes straight on beyond its table", () => {
    const map = quantileMap((x) => studentCdf(x, 4)!, [-100, 100]);
    for (let u = -5.03; u < 5; u += 0.31)
      expect(map.slopeAt(u)).toBeCloseTo((map.at(u + 1e-6) - map.at(u - 1e-6)) / 2e-6, 3);
    expect(map.at(6) - map.at(5)).toBeCloseTo(map.at(5) - map.at(4), 9);
    expect(straightMap(3, 2).at(1.5)).toBe(6);
  });
});

describe("studentCdfOfFour", () => {
  it("is Student's distribution with four degrees of freedom, against tables (t = 2.132 at 0.95, 4.604 at 0.995)", () => {
    expect(studentCdfOfFour(2.132)).toBeCloseTo(0.95, 4);
    expect(studentCdfOfFour(-4.604)).toBeCloseTo(0.005, 4);
    for (const t of [-8, -1, 0, 0.3, 3]) expect(studentCdfOfFour(t)).toBeCloseTo(studentCdf(t, 4)!, 9);
  });
});
