/** Least, greatest and mean of runs of values; NaN where a run holds no number, which its count says too. */
export type Buckets = Readonly<{
  min: Float64Array;
  max: Float64Array;
  mean: Float64Array;
  count: Uint32Array;
}>;

/** Buckets that hold nothing yet. */
export const emptyBuckets = (length: number): Buckets => ({
  min: new Float64Array(length).fill(Number.NaN),
  max: new Float64Array(length).fill(Number.NaN),
  mean: new Float64Array(length).fill(Number.NaN),
  count: new Uint32Array(length),
});

/** The buckets of `size` values each, the last one shorter. NaN counts as missing. Every extreme is kept exactly, a mean to its last digits but one or two. */
export function bucketsOf(values: Float64Array, size: number): Buckets {
  const buckets = emptyBuckets(Math.ceil(values.length / size));
  bucketsInto(values, 0, values.length, size, buckets, 0);
  return buckets;
}

/** Fills buckets from `at` on with the values between `from` and `to`; see `bucketsOf`. */
export function bucketsInto(
  values: Float64Array,
  from: number,
  to: number,
  size: number,
  into: Buckets,
  at: number,
): void {
  let bucket = at;
  for (let start = from; start < to; start += size) {
    bucketInto(values, start, Math.min(start + size, to), into, bucket);
    bucket += 1;
  }
}

/** The sum is taken around the first value, so that a mean far from zero keeps its digits. */
function bucketInto(values: Float64Array, from: number, to: number, into: Buckets, at: number): void {
  let min = Number.POSITIVE_INFINITY;
  let max = Number.NEGATIVE_INFINITY;
  let sum = 0;
  let count = 0;
  let centre = 0;
  for (let i = from; i < to; i += 1) {
    const value = values[i] as number;
    if (Number.isNaN(value)) continue;
    if (count === 0) centre = value;
    if (value < min) min = value;
    if (value > max) max = value;
    sum += value - centre;
    count += 1;
  }
  into.count[at] = count;
  into.min[at] = count > 0 ? min : Number.NaN;
  into.max[at] = count > 0 ? max : Number.NaN;
  into.mean[at] = count > 0 ? centre + sum / count : Number.NaN;
}

/**
 * Wider buckets made of `factor` narrow ones each, the last of fewer, the first of `skipped` fewer; means are weighted by
 * their counts.
 */
export function mergedBuckets(buckets: Buckets, factor: number, skipped = 0): Buckets {
  const { min: mins, max: maxima, mean: means, count: counts } = buckets;
  const length = counts.length;
  const merged = emptyBuckets(Math.ceil((length + skipped) / factor));
  let at = 0;
  for (let from = 0; from < length; at += 1) {
    const to = Math.min(length, (at + 1) * factor - skipped);
    let min = Number.POSITIVE_INFINITY;
    let max = Number.NEGATIVE_INFINITY;
    let sum = 0;
    let count = 0;
    let centre = 0;
    for (; from < to; from += 1) {
      const weight = counts[from] as number;
      if (weight === 0) continue;
      const mean = means[from] as number;
      if (count === 0) centre = mean;
      min = Math.min(min, mins[from] as number);
      max = Math.max(max, maxima[from] as number);
      sum += weight * (mean - centre);
      count += weight;
    }
    if (count === 0) continue;
    merged.count[at] = count;
    merged.min[at] = min;
    merged.max[at] = max;
    merged.mean[at] = centre + sum / count;
  }
  return merged;
}
