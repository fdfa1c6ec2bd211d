import { binomialLimits } from "../../numerics/binomialLimits.ts";
import { mean, sampleVariance } from "../../numerics/moments.ts";
import type { OffsetAxis } from "../things/chip.ts";
import { offsetWords } from "../things/setting.ts";
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
type Reach = Readonly<{ clockMhz: number; seen: number; of: number; low: number; high: number }>;

export type SamplesRanked = Readonly<{
  samples: readonly RankedSample[];
  spread: Readonly<{ meanMhz: number; deviationMhz: number }> | null;
  reach: readonly Reach[];
  sentence: string;
}>;

/** One sample of a model that is set by offset, at the load compared; of several parts the one that goes least far. */
export type SampleByOffset = Readonly<{
  chipId: string;
  name: string;
  /** The hardest offset held by the rule, as a level that grows as it gets harder; null where a part holds none. */
  heldLevel: number | null;
  /** The easiest that failed; null where none did. */
  crashLevel: number | null;
  parts: number;
}>;

export type OffsetSamples = Readonly<{
  name: OffsetAxis["name"];
  unit: OffsetAxis["unit"];
  harder: OffsetAxis["harder"];
  samples: readonly Readonly<{
    chipId: string;
    name: string;
    offset: number;
    /** So many parts hold it or a harder one; 0 of a chip that is set as a whole. */
    parts: number;
    place: number;
  }>[];
  spread: Readonly<{ mean: number; deviation: number }> | null;
  reach: readonly Readonly<{ offset: number; seen: number; of: number; low: number; high: number }>[];
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
  const { ranked, reached } = ranksOf(
    tried,
    ({ heldMhz }) => heldMhz,
    ({ lowestCrashMhz }) => lowestCrashMhz,
  );
  const spread = spreadOf(ranked);
  return {
    samples: ranked.map(({ of: { chipId, name, lowMhz, highMhz }, level, place }) => ({
      ...{ chipId, name, clockMhz: level, lowMhz, highMhz, place },
    })),
    spread: spread && { meanMhz: spread.mean, deviationMhz: spread.deviation },
    reach: reached.map(({ level, ...reach }) => ({ clockMhz: level, ...reach })),
    sentence:
      reachedInWords(reached, (level) => clockWords(level, unit)) ??
      `No sample of ${model} holds anything at a voltage and load that they have in common yet.`,
  };
}

/** The same along the offset that such chips are set by: its clocks are readings and rank nobody. */
export function samplesByOffset(
  model: string,
  tried: readonly SampleByOffset[],
  axis: OffsetAxis,
  offsetAt: (level: number) => number,
): Readonly<{ byOffset: OffsetSamples; sentence: string }> {
  const { name, unit, harder } = axis;
  const { ranked, reached } = ranksOf(
    tried,
    ({ heldLevel }) => heldLevel,
    ({ crashLevel }) => crashLevel,
  );
  const spread = spreadOf(ranked);
  const byParts = tried.some(({ parts }) => parts > 0);
  const words = (level: number) =>
    `${offsetWords(offsetAt(level), { clockUnit: "MHz", offset: axis })}${byParts ? " in every part" : ""}`;
  return {
    byOffset: {
      ...{ name, unit, harder },
      samples: ranked.map(({ of: { chipId, name: called, parts }, level, place }) => ({
        ...{ chipId, name: called, offset: offsetAt(level), parts, place },
      })),
      spread: spread && { mean: offsetAt(spread.mean), deviation: spread.deviation },
      reach: reached.map(({ level, ...reach }) => ({ offset: offsetAt(level), ...reach })),
    },
    sentence:
      reachedInWords(reached, words) ??
      `No sample of ${model} holds an offset under a load that they have in common yet.`,
  };
}

/** How far a sample went, as a number that grows as it gets harder. */
type Ranked<Of> = Readonly<{ of: Of; level: number; place: number }>;
type Reached = Readonly<{ level: number; seen: number; of: number; low: number; high: number }>;

function ranksOf<Of extends Readonly<{ name: string }>>(
  tried: readonly Of[],
  heldBy: (of: Of) => number | null,
  crashOf: (of: Of) => number | null,
): Readonly<{ ranked: readonly Ranked<Of>[]; reached: readonly Reached[] }> {
  const held = tried.flatMap((of) => {
    const level = heldBy(of);
    return level === null ? [] : [{ of, level }];
  });
  const ranked = held
    .map(({ of, level }) => ({ of, level, place: 1 + held.filter((other) => other.level > level).length }))
    .sort((a, b) => a.place - b.place || (a.of.name < b.of.name ? -1 : 1));
  const levels = [...new Set(ranked.map(({ level }) => level))].sort((a, b) => b - a);
  const reached = levels.flatMap((level): Reached[] => {
    const seen = held.filter((one) => one.level >= level).length;
    const short = tried.filter((of) => {
      const [at, crash] = [heldBy(of), crashOf(of)];
      return (at === null || at < level) && crash !== null && crash <= level;
    }).length;
    const limits = binomialLimits(seen, seen + short, 0.9);
    return limits === undefined
      ? []
      : [{ level, seen, of: seen + short, low: limits.lower, high: limits.upper }];
  });
  return { ranked, reached };
}

function spreadOf(ranked: readonly Ranked<unknown>[]): OffsetSamples["spread"] {
  const levels = ranked.map(({ level }) => level);
  const variance = sampleVariance(levels);
  return variance === undefined ? null : { mean: mean(levels)!, deviation: Math.sqrt(variance) };
}

/** What tells most is what about half of them reached; null where nobody reached anything. */
function reachedInWords(reached: readonly Reached[], words: (level: number) => string): string | null {
  const [told] = [...reached].sort((a, b) => offHalf(a) - offHalf(b) || b.level - a.level);
  if (told === undefined) return null;
  const { level, seen, of, low, high } = told;
  const among = of === 1 ? "Our one" : `${seen} of our ${of}`;
  return `${among} reached ${words(level)}; of other samples ${inHundred(low)} to ${inHundred(high)} in 100 would.`;
}

const offHalf = ({ seen, of }: Reached): number => Math.abs(seen / of - 0.5) - of / 1000;
const inHundred = (share: number): number => Math.round(100 * share);
