/** Weighted draws from a distribution: `count` points of `size` coordinates one after another; weights add up to 1. */
export type Particles = Readonly<{
  count: number;
  size: number;
  points: Float64Array;
  weights: Float64Array;
  /** How many equally weighted independent draws these are worth: one over the sum of squared weights (Kish 1965). */
  effectiveCount: number;
}>;

/** One of the points, without a copy. */
export const pointOf = ({ points, size }: Particles, index: number): Float64Array =>
  points.subarray(index * size, (index + 1) * size);

/**
 * Weights from their logarithms, scaled to add up to 1, with the effective number of draws. The largest is taken off before
 * the exponential, so that none overflows and the rest lose no digits.
 */
export function weightsFromLogs(logs: Float64Array): Pick<Particles, "weights" | "effectiveCount"> {
  let largest = -Infinity;
  for (const log of logs) if (log > largest) largest = log;
  const weights = new Float64Array(logs.length);
  let sum = 0;
  for (let k = 0; k < logs.length; k++) sum += weights[k] = Math.exp(logs[k]! - largest);
  let squares = 0;
  for (let k = 0; k < logs.length; k++) {
    weights[k]! /= sum;
    squares += weights[k]! ** 2;
  }
  return { weights, effectiveCount: 1 / squares };
}

/**
 * Equally weighted draws, chosen so that each point comes up as often as its weight asks, rounded up or down.
 * Method: systematic resampling; `offset` in [0, 1) is where the comb starts.
 */
export function resampled(particles: Particles, count: number, offset: number): Particles {
  const { size } = particles;
  const points = new Float64Array(count * size);
  let cumulated = particles.weights[0] ?? 0;
  let k = 0;
  for (let i = 0; i < count; i++) {
    while (cumulated < (i + offset) / count && k < particles.count - 1) cumulated += particles.weights[++k]!;
    points.set(pointOf(particles, k), i * size);
  }
  return { count, size, points, weights: new Float64Array(count).fill(1 / count), effectiveCount: count };
}

/** The weighted mean and covariance of the points. Method: two passes, centred before multiplying; exact but for rounding. */
export function momentsOf({ points, weights, count, size }: Particles): {
  mean: Float64Array;
  covariance: Float64Array[];
} {
  const mean = new Float64Array(size);
  const covariance = Array.from({ length: size }, () => new Float64Array(size));
  for (let k = 0; k < count; k++)
    for (let i = 0; i < size; i++) mean[i]! += weights[k]! * points[k * size + i]!;
  for (let k = 0; k < count; k++)
    for (let i = 0; i < size; i++) {
      const off = weights[k]! * (points[k * size + i]! - mean[i]!);
      for (let j = 0; j <= i; j++) covariance[i]![j]! += off * (points[k * size + j]! - mean[j]!);
    }
  for (let i = 0; i < size; i++) for (let j = 0; j < i; j++) covariance[j]![i] = covariance[i]![j]!;
  return { mean, covariance };
}
