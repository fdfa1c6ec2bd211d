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

export type BlockSettings = Readonly<{
  /** The step the values are rounded to; 0 where they are not. */
  step?: number;
  /** How many values it takes a deviation to fade to a third (1/e); 0 where neighbours are independent. */
  memory?: number;
}>;

/**
 * The mean of a series whose neighbours are alike, with its 95 % interval; undefined for fewer than ten values. Method:
 * means of five blocks, Student's t with four degrees of freedom, and what neighbouring blocks have in common by the
 * memory given. Values rounded to `step` that hardly scatter hide where they lie within it: up to step^2/12 is then added
 * to the squared standard error (JCGM 100:2008, F.2.2.1).
 */
export function blockMean(
  values: ArrayLike<number>,
  { step = 0, memory = 0 }: BlockSettings = {},
): BlockMean | undefined {
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
  const hidden = hiddenShare(variance, step) * rounding + rounding / count;
  const standardError = Math.sqrt((between / blocks) * sharing(memory / (count / blocks)) + hidden);
  const half = (studentQuantile(0.975, blocks - 1) ?? Number.NaN) * standardError;
  const independent = standardError > 0 ? Math.min(count, Math.max(1, variance / standardError ** 2)) : 1;
  return { mean, low: mean - half, high: mean + half, standardError, independent };
}

/**
 * How much of the rounding no averaging takes away: all of it below a scatter of 0.3 of the step, above that as much as
 * is left of the first harmonic of the rounding error under normal scatter.
 */
function hiddenShare(variance: number, step: number): number {
  if (step === 0) return 0;
  if (variance < (0.3 * step) ** 2) return 1;
  const own = Math.max(0, variance - (step * step) / 12);
  return Math.exp((-4 * Math.PI ** 2 * own) / (step * step));
}

/**
 * By how much blocks that share some of their deviation understate the variance of the whole mean, for a deviation that
 * fades exponentially. `memory` counts in blocks. Blocks further apart than neighbours share next to nothing.
 */
function sharing(memory: number): number {
  if (memory <= 0) return 1;
  const fade = -Math.expm1(-1 / memory);
  const shared = (memory * fade * fade) / (2 * (1 - memory * fade));
  const neighbours = blocks - 1;
  return (1 + (2 * neighbours * shared) / blocks) / (1 - (2 * shared) / blocks);
}

/** Taken around the first value, so that nothing is lost far from zero. */
function meanBetween(values: ArrayLike<number>, from: number, to: number): number {
  const centre = values[from] as number;
  let sum = 0;
  for (let i = from; i < to; i += 1) sum += (values[i] as number) - centre;
  return centre + sum / (to - from);
}
