import { normalCdf, studentQuantile } from "../../numerics/distributions.ts";
import { pointOf, resampled } from "../../numerics/particles.ts";
import { type LimitContext, limitFitOf } from "./limitFit.ts";
import { parametersAt } from "./limitParameters.ts";
import { baseSharpness, type SharpnessPrior } from "./sharpness.ts";

/** What one chip shows of its sharpness: equally likely logarithms, from a joint fit of all its builds under the base prior. */
export type ChipSharpness = Readonly<{ logSigmas: readonly number[] }>;

const mostDraws = 64;

/** Null where the chip has not both held and failed: then it says nothing of how sharp its limit is. */
export function chipSharpnessOf(context: LimitContext): ChipSharpness | null {
  const fit = limitFitOf({ ...context, sharpness: baseSharpness, errors: false });
  const hasBoth =
    fit !== null && [true, false].every((failed) => fit.records.some((one) => one.failed === failed));
  if (!hasBoth) return null;
  const few = resampled(fit.draws, mostDraws, 0.5);
  const logSigmas = Array.from({ length: few.count }, (_, k) =>
    Math.log(parametersAt(pointOf(few, k), fit.frame).sigma),
  );
  return { logSigmas: logSigmas.map((value) => Math.round(1e4 * value) / 1e4) };
}

/** The middle of a kind of chip, and how far its chips scatter about it, before any of them was seen. */
const middle = { mean: baseSharpness.mean, sd: 0.45, steps: 31 };
const scatter = { mean: Math.log(0.4), sd: 0.5, steps: 21 };
const reach = 3;

type Cell = Readonly<{ mean: number; sd: number; weight: number }>;

/**
 * The prior that the chips of one kind leave for another of it; the base where there are none. Every chip is one factor:
 * its draws under the base prior are weighted anew by what the cell makes of them, over what the base did, so that no
 * chip counts twice. What is foretold of the next chip is told by a Student t that has its middle two thirds.
 */
export function sharpnessLearntFrom(chips: readonly ChipSharpness[], kind: string): SharpnessPrior {
  if (chips.length === 0) return baseSharpness;
  const cells = cellsOf(chips);
  const mean = cells.reduce((sum, cell) => sum + cell.weight * cell.mean, 0);
  const scale = halfWidthOf(cells, mean) / studentHalfWidth;
  const rounded = {
    mean: thousandths(Math.max(leastMean, mean)),
    scale: thousandths(Math.min(baseSharpness.scale, Math.max(leastScale, scale))),
    softShare: thousandths(Math.min(mostSoftShare, 2 * Math.max(0, leastMean - mean))),
  };
  return {
    ...rounded,
    name: `what ${chips.length === 1 ? "another chip" : `${chips.length} other chips`} of this kind showed`,
    version: `learnt 6: ${kind} ${chips.length} ${rounded.mean} ${rounded.scale} ${rounded.softShare}`,
    chips: chips.length,
  };
}

const thousandths = (value: number): number => Math.round(1000 * value) / 1000;

function cellsOf(chips: readonly ChipSharpness[]): Cell[] {
  const cells: { mean: number; sd: number; log: number }[] = [];
  for (let i = 0; i < middle.steps; i++)
    for (let j = 0; j < scatter.steps; j++) {
      const [u, v] = [standing(i, middle.steps), standing(j, scatter.steps)];
      const mean = middle.mean + middle.sd * u;
      const sd = Math.exp(scatter.mean + scatter.sd * v);
      const log = chips.reduce((sum, chip) => sum + logFactorOf(chip, mean, sd), -(u * u + v * v) / 2);
      cells.push({ mean, sd, log });
    }
  const largest = cells.reduce((most, { log }) => Math.max(most, log), -Infinity);
  const total = cells.reduce((sum, { log }) => sum + Math.exp(log - largest), 0);
  return cells.map(({ mean, sd, log }) => ({ mean, sd, weight: Math.exp(log - largest) / total }));
}

const standing = (step: number, steps: number): number => reach * ((2 * step) / (steps - 1) - 1);

function logFactorOf({ logSigmas }: ChipSharpness, mean: number, sd: number): number {
  const base = baseSharpness;
  const ratio = logSigmas.reduce((sum, value) => {
    const [own, before] = [(value - mean) / sd, (value - base.mean) / base.scale];
    return sum + (base.scale / sd) * Math.exp((before * before - own * own) / 2);
  }, 0);
  return Math.log(ratio / logSigmas.length + 1e-12);
}

/** Half of what holds the middle 68.27 % of the next chip, by halving. */
function halfWidthOf(cells: readonly Cell[], mean: number): number {
  const within = (half: number): number =>
    cells.reduce(
      (sum, cell) =>
        sum +
        cell.weight *
          (normalCdf((mean + half - cell.mean) / cell.sd) - normalCdf((mean - half - cell.mean) / cell.sd)),
      0,
    );
  let [low, high] = [0, 5];
  for (let step = 0; step < 40; step++) {
    const half = (low + high) / 2;
    if (within(half) < oneDeviation) low = half;
    else high = half;
  }
  return high;
}

const oneDeviation = 0.6827;

/**
 * What few searches seem to show of the scatter is too little: simulated chips that scatter by 0.5, forty of them, told
 * 0.3, and answers under that lay beyond the limit in 15 of 100. So nothing narrower than this is believed of the next
 * chip, and nothing wider than the base, however far two of them lie apart.
 */
const leastScale = 0.45;
/**
 * Nor is the next chip taken for more than a tenth sharper than usual ones: a soft limit taken for a sharp one is believed
 * to hold where it fails, and nothing but hours would show it.
 */
const leastMean = baseSharpness.mean - 0.1;
/**
 * And the further its middle had to be held back, the more is left to soft limits, up to this: a journal of sharp chips
 * alone tells least of them. Without it, hours at the answers of limits five times as soft as those before passed in 73
 * to 78 of 100 instead of 73 to 86.
 */
const mostSoftShare = 0.2;

/** So many scales either way hold as much of a Student t with four degrees of freedom. */
const studentHalfWidth = studentQuantile((1 + oneDeviation) / 2, 4)!;
