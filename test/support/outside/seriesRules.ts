import { autocorrelation } from "../../../server/numerics/autocorrelation.ts";

/**
 * How many independent values a series is worth whose neighbours are alike: n (1 - r) / (1 + r) with r the correlation at
 * lag one, never more than n where r is negative; undefined for a series that does not vary. Method: first-order
 * autoregression (Bayley and Hammersley 1946, large n).
 */
export function effectiveSampleSize(values: ArrayLike<number>): number | undefined {
  const r = autocorrelation(values);
  if (r === undefined) return undefined;
  return r <= 0 ? values.length : Math.max(1, (values.length * (1 - r)) / (1 + r));
}

/**
 * Where a run that settles had best be cut off before its mean is taken: the cut that makes the standard error of what is
 * left smallest, looked for in the first half; 0 for a run that does not settle. Method: marginal standard error rule
 * (White, Simulation 69, 1997), over means of `batch` values. Cost: one pass over the means.
 */
export function truncationPoint(values: ArrayLike<number>, batch = 5): number {
  const means = Array.from({ length: Math.floor(values.length / batch) }, (_, k) => {
    let sum = 0;
    for (let i = k * batch; i < (k + 1) * batch; i++) sum += values[i] as number;
    return sum / batch;
  });
  const offset = means.at(-1) ?? 0;
  let [sum, squares] = [0, 0];
  let best = { cut: 0, error: Number.POSITIVE_INFINITY };
  for (let k = means.length - 1; k >= 0; k--) {
    const value = (means[k] as number) - offset;
    sum += value;
    squares += value * value;
    const left = means.length - k;
    const error = Math.max(0, squares - (sum * sum) / left) / left ** 2;
    if (k <= means.length / 2 && error < best.error) best = { cut: k, error };
  }
  return best.cut * batch;
}
