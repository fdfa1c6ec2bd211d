import { studentQuantile } from "./distributions.ts";

export type BlockMean = Readonly<{
  mean: number;
  low: number;
  high: number;
  standardError: number;
  /** As many independent values would give the same standard error. */
  independent: number;
}>;

const blocks = 5;

/**
 * The mean of a series whose neighbours are alike, with its 95 % interval; undefined for fewer than ten values. Method:
 * means of five blocks, Student's t with four degrees of freedom. Values rounded to `step` that hardly scatter hide where
 * they lie within it: step^2/12 is then added to the squared standard error (JCGM 100:2008, F.2.2.1), else its share.
 */
export function blockMean(values: ArrayLike<number>, step = 0): BlockMean | undefined {
  const count = values.length;
  if (count < 2 * blocks) return undefined;
  const parts = Array.from({ length: blocks }, (_, block) =>
    meanBetween(values, Math.floor((block * count) / blocks), Math.floor(((block + 1) * count) / blocks)),
  );
  const mean = meanBetween(values, 0, count);
  let square = 0;
  for (let i = 0; i < count; i += 1) square += ((values[i] as number) - mean) ** 2;
  const variance = square / (count - 1);
  const centre = meanBetween(parts, 0, blocks);
  const between = parts.reduce((sum, part) => sum + (part - centre) ** 2, 0) / (blocks - 1);
  const rounding = (step * step) / 12;
  const hidden = Math.sqrt(variance) < 0.3 * step ? rounding : rounding / count;
  const standardError = Math.sqrt(between / blocks + hidden);
  const half = (studentQuantile(0.975, blocks - 1) ?? Number.NaN) * standardError;
  const independent = standardError > 0 ? Math.min(count, Math.max(1, variance / standardError ** 2)) : 1;
  return { mean, low: mean - half, high: mean + half, standardError, independent };
}

/** Taken around the first value, so that nothing is lost far from zero. */
function meanBetween(values: ArrayLike<number>, from: number, to: number): number {
  const centre = values[from] as number;
  let sum = 0;
  for (let i = from; i < to; i += 1) sum += (values[i] as number) - centre;
  return centre + sum / (to - from);
}
