import { chiSquareQuantile } from "../../numerics/distributions.ts";

/**
 * The one-sided lower bound of the mean time between failures after so much exposure with so many failures:
 * 2T / chi-square with 2r + 2 degrees of freedom. Null without exposure. A clean hour proves 20 minutes at 95 %.
 */
export function mtbfLowerS(exposureS: number, failures: number, confidence = 0.95): number | null {
  if (exposureS <= 0) return null;
  // Without a failure the quantile has a closed form, which a frontier of thousands of rows is glad of.
  const quantile =
    failures === 0 ? -2 * Math.log(1 - confidence) : chiSquareQuantile(confidence, 2 * failures + 2);
  return quantile === undefined ? null : (2 * exposureS) / quantile;
}

/**
 * Two chances of surviving a job: `lower` is all that is proven, `expected` what to bet on. The lower alone reads as
 * nonsense after one clean hour, the expected alone as a promise.
 */
export type SurvivalChances = Readonly<{ lower: number; expected: number }>;

export function survivalChances(exposureS: number, failures: number, hours: number): SurvivalChances | null {
  const bound = mtbfLowerS(exposureS, failures);
  if (bound === null) return null;
  const jobS = hours * 3600;
  return {
    lower: Math.exp(-jobS / bound),
    expected: (exposureS / (exposureS + jobS)) ** (failures + 1 / 2),
  };
}

/** The chances of surviving one hour more and eight; each null without exposure. */
export type SurviveHours = Readonly<Record<1 | 8, SurvivalChances | typeof noChances>>;

const noChances = { lower: null, expected: null } as const;

/** Where nothing is held, so that nothing is known to survive. */
export const surviveNothing: SurviveHours = { 1: noChances, 8: noChances };

/** After `exposureS` seconds without a failure. */
export const surviveHours = (exposureS: number): SurviveHours => ({
  1: survivalChances(exposureS, 0, 1) ?? noChances,
  8: survivalChances(exposureS, 0, 8) ?? noChances,
});
