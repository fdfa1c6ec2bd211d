import { describe, expect, it } from "vitest";
import { autocorrelation, periodOf } from "../../server/numerics/autocorrelation.ts";
import { seededRandom } from "../../server/numerics/seededRandom.ts";
import reference from "../reference/univariate.json" with { type: "json" };

/** NumAcc4 is given by its rule: 10000000.2, then 500 times 10000000.1 and 10000000.3. */
const numAcc4 = [
  10000000.2,
  ...Array.from({ length: 1000 }, (_, at) => (at % 2 === 0 ? 10000000.1 : 10000000.3)),
];

describe("autocorrelation", () => {
  for (const { id, source, inputs, expected } of reference.univariate) {
    it(`gives the certified lag-1 figure of ${source.title}`, () => {
      const series = "data" in inputs ? (inputs.data as number[]) : numAcc4;
      const digits = id === "numacc4" ? 8 : 10;
      expect(autocorrelation(series)).toBeCloseTo(expected.lag1_autocorrelation, digits);
    });
  }

  it("is undefined for a series that does not vary or is too short", () => {
    expect(autocorrelation([5, 5, 5])).toBeUndefined();
    expect(autocorrelation([5])).toBeUndefined();
    expect(autocorrelation([])).toBeUndefined();
  });
});

describe("periodOf", () => {
  it("finds the period of a wave in noise", () => {
    for (let seed = 1; seed <= 30; seed += 1) {
      const random = seededRandom(seed);
      const period = 8 + random.index(40);
      const wave = Array.from(
        { length: 240 },
        (_, at) => Math.sin((2 * Math.PI * at) / period) + 0.3 * random.normal(),
      );
      const found = periodOf(wave);
      expect(Math.abs((found?.lag ?? 0) / period - 1)).toBeLessThan(0.15);
      expect(found?.correlation ?? 0).toBeGreaterThan(0.5);
    }
  });

  it("finds no strong period in independent noise", () => {
    for (let seed = 1; seed <= 30; seed += 1) {
      const random = seededRandom(seed);
      const noise = Array.from({ length: 240 }, () => random.normal());
      expect(periodOf(noise)?.correlation ?? 0).toBeLessThan(0.4);
    }
  });

  it("is undefined for a steady rise", () => {
    expect(periodOf([1, 2, 3])).toBeUndefined();
  });
});
