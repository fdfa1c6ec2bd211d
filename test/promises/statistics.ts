import type { Foretold } from "./walks.ts";

/** A mean and its standard error. */
export type Mean = Readonly<{ mean: number; error: number; count: number }>;

export function meanOf(values: readonly number[]): Mean {
  const count = values.length;
  const mean = values.reduce((sum, value) => sum + value, 0) / count;
  const square = values.reduce((sum, value) => sum + (value - mean) ** 2, 0);
  return { mean, error: Math.sqrt(square / Math.max(1, count - 1) / count), count };
}

export const shareOf = <Value>(values: readonly Value[], holds: (value: Value) => boolean): Mean =>
  meanOf(values.map((value) => Number(holds(value))));

/**
 * The mean logarithm of the chance that was given to what came, of the forecasts and of one who always gives the base
 * rate: a proper score, largest where the chances told are those that are (I. J. Good, Rational decisions, 1952).
 */
export function logScores(foretold: readonly Foretold[]): Readonly<{ forecast: number; baseRate: number }> {
  const rate = shareOf(foretold, ({ passed }) => passed).mean;
  const score = (chanceOf: (one: Foretold) => number): number =>
    meanOf(
      foretold.map((one) => {
        const chance = Math.min(1 - 1e-6, Math.max(1e-6, chanceOf(one)));
        return Math.log(one.passed ? chance : 1 - chance);
      }),
    ).mean;
  return { forecast: score(({ chance }) => chance), baseRate: score(() => rate) };
}

export const told = ({ mean, error }: Mean, digits = 0): string =>
  `${mean.toFixed(digits)} ± ${error.toFixed(Math.max(1, digits))}`;

export const percent = ({ mean, error }: Mean): string =>
  `${(100 * mean).toFixed(1)} ± ${(100 * error).toFixed(1)} %`;
