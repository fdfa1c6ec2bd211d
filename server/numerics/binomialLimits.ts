import { betaQuantile } from "./distributions.ts";

/**
 * Exact two-sided limits of a share after `successes` of `trials`; undefined without trials or for impossible counts.
 * Method: Clopper and Pearson (Biometrika 26, 1934), by quantiles of the beta distribution. With no success the upper
 * limit is 1 - (alpha/2)^(1/n). As accurate as `betaQuantile`.
 */
export function binomialLimits(
  successes: number,
  trials: number,
  confidence = 0.95,
): Readonly<{ lower: number; upper: number }> | undefined {
  if (!(trials > 0) || !(successes >= 0 && successes <= trials) || !(confidence > 0 && confidence < 1))
    return undefined;
  const tail = (1 - confidence) / 2;
  return {
    lower: successes === 0 ? 0 : betaQuantile(tail, successes, trials - successes + 1)!,
    upper: successes === trials ? 1 : betaQuantile(1 - tail, successes + 1, trials - successes)!,
  };
}
