import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { normalCdf } from "../../server/numerics/distributions.ts";
import { modeOf } from "../../server/numerics/mode.ts";
import { densityOf } from "../support/densities.ts";
import { alphaPowerClock } from "../support/simulatedChip.ts";

const read = (file: string) => JSON.parse(readFileSync(new URL(file, import.meta.url), "utf8"));

/** The climb to a mode is the one the limit is fitted with; here the likelihoods are others whose answers are known. */
describe("modeOf on published likelihoods", () => {
  const { cases } = read("doseResponse.json");
  const { x, n, killed } = cases[0].inputs as { x: number[]; n: number[]; killed: number[] };
  const links = [
    ["bliss-beetles-logit", (eta: number) => 1 / (1 + Math.exp(-eta)), -60.7174545616, 34.2703257341],
    ["bliss-beetles-probit", normalCdf, -34.9352589157, 19.7279342201],
    ["bliss-beetles-cloglog", (eta: number) => -Math.expm1(-Math.exp(eta)), -39.5723106061, 22.0411698207],
  ] as const;

  /** Data: C. I. Bliss, Ann. Appl. Biol. 22:134-167 (1935); estimates as in Dobson, from memory, digits recomputed with R. */
  for (const [id, shareKilled, intercept, slope] of links)
    for (const start of [
      [0, 0],
      [4, -2],
    ] as const)
      it(`finds the beetle estimates ${id} to five digits from (${start})`, () => {
        const centre = 1.8;
        const density = densityOf(
          2,
          ([level, steepness]) =>
            x.reduce((sum, dose, i) => {
              const share = shareKilled(level! + 10 * steepness! * (dose - centre));
              const bounded = Math.min(Math.max(share, 1e-15), 1 - 1e-15);
              return sum + killed[i]! * Math.log(bounded) + (n[i]! - killed[i]!) * Math.log1p(-bounded);
            }, 0),
          1e-12,
        );
        const { at } = modeOf(density, start);
        expect(Math.abs((10 * at[1]!) / slope - 1)).toBeLessThan(1e-5);
        expect(Math.abs((at[0]! - 10 * at[1]! * centre) / intercept - 1)).toBeLessThan(1e-5);
      });

  /** J. Tobin, Econometrica 26:24-36 (1958); fit as in T. Therneau's survival package, figures seen and reproduced with R. */
  it("finds the left-censored regression of Tobin's data to five digits", () => {
    const { inputs, expected } = read("censoredRegression.json").cases[0];
    const rows = inputs.rows as [number, number, number][];
    const density = densityOf(
      4,
      ([a, b, c, logSigma]) =>
        rows.reduce((sum, [durable, age, quant]) => {
          const mean = a! + (b! * (age - 48)) / 10 + (c! * (quant - 245)) / 25;
          const z = (durable - mean) / Math.exp(logSigma!);
          return (
            sum +
            (durable > 0 ? (-z * z) / 2 - logSigma! - Math.log(2 * Math.PI) / 2 : Math.log(normalCdf(z)))
          );
        }, 0),
      1e-12,
    );
    const { at, value } = modeOf(density, [0, 0, 0, 1]);
    const { age, quant, sigma, loglik, intercept } = expected.computed_here;
    expect(at[1]! / 10 / age).toBeCloseTo(1, 5);
    expect(at[2]! / 25 / quant).toBeCloseTo(1, 5);
    expect(Math.exp(at[3]!) / sigma).toBeCloseTo(1, 5);
    expect((at[0]! - 4.8 * at[1]! - 9.8 * at[2]!) / intercept).toBeCloseTo(1, 4);
    expect(value).toBeCloseTo(loglik, 6);
  });

  /** Interval, left and right censoring together, as a crash window, a never-started and a pass are. Same source. */
  it("finds the interval-censored regression to five digits", () => {
    const { inputs, expected } = read("censoredRegression.json").cases[1];
    const rows = inputs.rows as { lower: number | null; upper: number | null; age: number; ecog: number }[];
    const density = densityOf(
      4,
      ([a, b, c, logSigma]) =>
        rows.reduce((sum, { lower, upper, age, ecog }) => {
          const mean = 6 + a! + (b! * (age - 57)) / 10 + c! * (ecog - 1.5);
          const below = (time: number): number => normalCdf((Math.log(time) - mean) / Math.exp(logSigma!));
          if (lower !== null && lower === upper) {
            const z = (Math.log(lower) - mean) / Math.exp(logSigma!);
            return sum - (z * z) / 2 - logSigma! - Math.log(2 * Math.PI) / 2 - Math.log(lower);
          }
          return sum + Math.log((upper === null ? 1 : below(upper)) - (lower === null ? 0 : below(lower)));
        }, 0),
      1e-12,
    );
    const { at, value } = modeOf(density, [0, 0, 0, 0]);
    const { coef, log_sigma, loglik } = expected.more_digits;
    expect(at[1]! / 10 / coef[1]).toBeCloseTo(1, 4);
    expect(at[2]! / coef[2]).toBeCloseTo(1, 4);
    expect(at[3]! / log_sigma).toBeCloseTo(1, 4);
    expect(value).toBeCloseTo(loglik, 6);
  });

  /**
   * Fatigue strength by an up-and-down test, Open Engineering 10:394-400 (2020), doi 10.1515/eng-2020-0048: Dixon and
   * Mood's short formula gives 282 MPa. The likelihood it stands for, with a spread of 10.6 as published, peaks near it.
   */
  it("finds the median of an up-and-down test within a fifth of a step", () => {
    const { inputs, expected } = read("upAndDown.json").cases[0];
    const levels = inputs.levels as number[];
    const failed = inputs.failed as number[];
    const density = densityOf(
      1,
      ([shift]) =>
        levels.reduce((sum, level, i) => {
          const below = normalCdf((level - 280 - 10 * shift!) / expected.sd);
          return sum + Math.log(failed[i] === 1 ? below : 1 - below);
        }, 0),
      1e-12,
    );
    expect(Math.abs(280 + 10 * modeOf(density, [0]).at[0]! - expected.mean)).toBeLessThan(inputs.step / 5);
  });
});

/** T. Sakurai and A. R. Newton, IEEE JSSC 25:584-594 (1990): the law's formula; the ratios are computed, from memory. */
describe("the simulated chip's alpha-power law", () => {
  it("gives the ratios of highest clock over voltage to nine digits", () => {
    const ratio = (v: number, over: number, alpha: number): number =>
      alphaPowerClock(v, 0.35, alpha) / alphaPowerClock(over, 0.35, alpha);
    expect(ratio(1.2, 1, 1.3)).toBeCloseTo(1.1810709667, 9);
    expect(ratio(0.9, 1, 1.3)).toBeCloseTo(0.8942143258, 9);
    expect(ratio(1.2, 1, 2)).toBeCloseTo(1.4250493097, 9);
  });
});
