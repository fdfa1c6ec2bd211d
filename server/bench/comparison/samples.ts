import { binomialLimits } from "../../numerics/binomialLimits.ts";
import { mean, sampleVariance } from "../../numerics/moments.ts";
import { clockWords, type UnitOfClock } from "../things/words.ts";

/** One sample of a model at the voltage and load compared, over all its builds. */
export type TriedSample = Readonly<{
  chipId: string;
  name: string;
  /** The highest clock held by the rule; null where none was. */
  heldMhz: number | null;
  /** The lowest that crashed; null where none did. */
  lowestCrashMhz: number | null;
  /** Where its fitted limit lies, nine chances in ten; null where none is fitted. */
  lowMhz: number | null;
  highMhz: number | null;
}>;

export type RankedSample = Readonly<{
  chipId: string;
  name: string;
  clockMhz: number;
  lowMhz: number | null;
  highMhz: number | null;
  /** From 1, the furthest first; samples that hold the same clock share a place. */
  place: number;
}>;

/** How many samples reached a clock, of those that show whether they do, and the share that others may, 90 %. */
export type Reach = Readonly<{ clockMhz: number; seen: number; of: number; low: number; high: number }>;

export type SamplesRanked = Readonly<{
  samples: readonly RankedSample[];
  spread: Readonly<{ meanMhz: number; deviationMhz: number }> | null;
  reach: readonly Reach[];
  sentence: string;
}>;

/**
 * Samples of one model by the clock each holds, and what that says of another sample: exact limits of a share (Clopper and
 * Pearson), over samples taken to be drawn alike. One that was never tried as high and did not crash counts neither way.
 */
export function samplesRanked(
  model: string,
  tried: readonly TriedSample[],
  unit: UnitOfClock,
): SamplesRanked {
  const held = tried.filter((sample) => sample.heldMhz !== null);
  const samples = held
    .map(({ chipId, name, heldMhz, lowMhz, highMhz }) => ({
      chipId,
      name,
      clockMhz: heldMhz!,
      lowMhz,
      highMhz,
      place: 1 + held.filter((other) => other.heldMhz! > heldMhz!).length,
    }))
    .sort((a, b) => a.place - b.place || (a.name < b.name ? -1 : 1));
  const clocks = [...new Set(samples.map(({ clockMhz }) => clockMhz))].sort((a, b) => b - a);
  const reach = clocks.flatMap((clockMhz) => reachOf(clockMhz, tried));
  return { samples, spread: spreadOf(samples), reach, sentence: sentenceOf(model, samples, reach, unit) };
}

function reachOf(clockMhz: number, tried: readonly TriedSample[]): Reach[] {
  const seen = tried.filter(({ heldMhz }) => heldMhz !== null && heldMhz >= clockMhz).length;
  const short = tried.filter(
    ({ heldMhz, lowestCrashMhz }) =>
      (heldMhz ?? 0) < clockMhz && lowestCrashMhz !== null && lowestCrashMhz <= clockMhz,
  ).length;
  const limits = binomialLimits(seen, seen + short, 0.9);
  return limits === undefined
    ? []
    : [{ clockMhz, seen, of: seen + short, low: limits.lower, high: limits.upper }];
}

function spreadOf(samples: readonly RankedSample[]): SamplesRanked["spread"] {
  const clocks = samples.map(({ clockMhz }) => clockMhz);
  const variance = sampleVariance(clocks);
  return variance === undefined ? null : { meanMhz: mean(clocks)!, deviationMhz: Math.sqrt(variance) };
}

/** The clock that tells most is the one that about half of them reached. */
function sentenceOf(
  model: string,
  samples: readonly RankedSample[],
  reach: readonly Reach[],
  unit: UnitOfClock,
): string {
  if (samples.length === 0)
    return `No sample of ${model} holds anything at a voltage and load that they have in common yet.`;
  const told = [...reach].sort((a, b) => offHalf(a) - offHalf(b) || b.clockMhz - a.clockMhz)[0]!;
  const { clockMhz, seen, of, low, high } = told;
  const among = of === 1 ? "Our one" : `${seen} of our ${of}`;
  return `${among} reached ${clockWords(clockMhz, unit)}; of other samples ${inHundred(low)} to ${inHundred(high)} in 100 would.`;
}

const offHalf = ({ seen, of }: Reach): number => Math.abs(seen / of - 0.5) - of / 1000;
const inHundred = (share: number): number => Math.round(100 * share);
