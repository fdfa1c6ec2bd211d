/**
 * The mean of the values; undefined without any. Method: the plain mean, and to it the mean of what the values lie off it,
 * so that a large offset costs no digits: every digit of NIST's NumAcc4.
 */
export function mean(values: readonly number[]): number | undefined {
  if (values.length === 0) return undefined;
  let sum = 0;
  for (const value of values) sum += value;
  const centre = sum / values.length;
  let off = 0;
  for (const value of values) off += value - centre;
  return Number.isFinite(centre) ? centre + off / values.length : centre;
}

/**
 * The sample variance (divided by n - 1) of the values; undefined for fewer than two. Method: centred before squaring; NIST's
 * NumAcc4 (a deviation of 0.1 about ten million) to eight digits, all that its numbers hold as doubles.
 */
export function sampleVariance(values: readonly number[]): number | undefined {
  if (values.length < 2) return undefined;
  const centre = mean(values)!;
  let squares = 0;
  for (const value of values) squares += (value - centre) ** 2;
  return squares / (values.length - 1);
}

/** A variance and the degrees of freedom it was found with. */
export type FoundVariance = Readonly<{ variance: number; degreesOfFreedom: number }>;

/**
 * The variance common to groups that may differ in their means; undefined where no group has two values.
 * Method: squares about each group's own mean over the sum of (n - 1).
 */
export function pooledVariance(groups: readonly (readonly number[])[]): FoundVariance | undefined {
  let squares = 0;
  let degreesOfFreedom = 0;
  for (const group of groups) {
    const variance = sampleVariance(group);
    if (variance === undefined) continue;
    squares += variance * (group.length - 1);
    degreesOfFreedom += group.length - 1;
  }
  return degreesOfFreedom === 0 ? undefined : { variance: squares / degreesOfFreedom, degreesOfFreedom };
}
