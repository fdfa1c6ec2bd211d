import { resampled } from "../../numerics/particles.ts";
import { shuffledPlaces } from "../../numerics/shuffledPlaces.ts";
import { weightedQuantilesOf } from "../../numerics/weightedQuantiles.ts";
import { acceptableHazardPerMinute, targetOfUse } from "../limit/acceptance.ts";
import { clocksAtHazard, limitDrawsOf } from "../limit/limitReach.ts";
import { type OffsetSearch, type PartScales, partScalesOf } from "./offsetSearch.ts";
import { scaleFitOf, scaleVoltageMv } from "./scaleFit.ts";

/** Two builds that are set by offset. Plain values, so that a worker can be asked. */
export type OffsetDifferenceQuestion = Readonly<{ a: OffsetSearch; b: OffsetSearch }>;

/** b less a in the offset's own unit with its 95 % ends; an end is null where one build has only passed, so that it may lie anywhere beyond. */
type FittedOffsets = Readonly<{ difference: number; low: number | null; high: number | null }>;

export type OffsetDifference = FittedOffsets &
  Readonly<{
    /** The parts that it is the mean over; null names a chip that is set as a whole. */
    parts: readonly (FittedOffsets & Readonly<{ part: string | null }>)[];
  }>;

const hazard = acceptableHazardPerMinute(targetOfUse.benchmark);
const pairs = 2000;
const leastAttempts = 3;

/**
 * How far apart the limits of two builds lie along their offset, on the mean over the parts that both have. Null where the
 * chips are not set by the same offset, or no part was tried enough on both: three attempts each, one of them a failure.
 * Method: each part of each build is fitted by itself, and draws of one are paired with draws of the other by chance.
 */
export function offsetDifferenceOf({ a, b }: OffsetDifferenceQuestion): OffsetDifference | null {
  const [ofA, ofB] = [partScalesOf(a), partScalesOf(b)];
  if (ofA === null || ofB === null || !isOneOffset(a, b)) return null;
  const common = ofA.parts.filter((part) => ofB.parts.includes(part));
  const apart = common.flatMap((part, i) => drawnApart(part, ofA, ofB, i) ?? []);
  if (apart.length === 0) return null;
  const mean = Float64Array.from(
    { length: pairs },
    (_, k) => apart.reduce((sum, { levels }) => sum + levels[k]!, 0) / apart.length,
  );
  const bounded = {
    low: apart.every(({ bounded }) => bounded.low),
    high: apart.every(({ bounded }) => bounded.high),
  };
  return {
    ...endsOf(mean, bounded),
    parts: apart.map((one) => ({ part: one.part, ...endsOf(one.levels, one.bounded) })),
  };
}

const isOneOffset = ({ chip: a }: OffsetSearch, { chip: b }: OffsetSearch): boolean =>
  a.offset?.unit === b.offset?.unit && a.offset?.harder === b.offset?.harder;

type Apart = Readonly<{
  part: string | null;
  levels: Float64Array;
  bounded: Readonly<{ low: boolean; high: boolean }>;
}>;

function drawnApart(part: string | null, a: PartScales, b: PartScales, turn: number): Apart | null {
  const [ofA, ofB] = [levelsOf(a, part), levelsOf(b, part)];
  if (ofA === null || ofB === null || (!ofA.failed && !ofB.failed)) return null;
  const [placesA, placesB] = [shuffledPlaces(pairs, 2 * turn + 1), shuffledPlaces(pairs, 2 * turn + 2)];
  const levels = Float64Array.from(placesA, (at, k) => ofB.levels[placesB[k]!]! - ofA.levels[at]!);
  // One that only passed may lie anywhere harder: of an offset that is harder downward, anywhere below.
  const [low, high] = a.harder === "up" ? [ofA.failed, ofB.failed] : [ofB.failed, ofA.failed];
  return { part, levels, bounded: { low, high } };
}

/** Where the limit of a part lies, draw by draw; null where too little was tried. */
function levelsOf(
  scales: PartScales,
  part: string | null,
): Readonly<{ levels: Float64Array; failed: boolean }> | null {
  const { otherParts: _, ...question } = scales.questionOf(part);
  const fitted = question.rows.length < leastAttempts ? null : scaleFitOf(question);
  if (fitted === null) return null;
  const { fit, layout } = fitted;
  const draws = limitDrawsOf(fit, resampled(fit.draws, pairs, 0.5), question.workloadId ?? fit.heaviestId);
  const levels = clocksAtHazard(draws, scaleVoltageMv, hazard).map(layout.levelAt);
  return { levels, failed: fit.records.some(({ failed, build }) => failed && build === 0) };
}

const evenly = new Float64Array(pairs).fill(1 / pairs);

function endsOf(levels: Float64Array, bounded: Apart["bounded"]): FittedOffsets {
  const [low, difference, high] = weightedQuantilesOf(levels, evenly, [0.025, 0.5, 0.975]) as [
    number,
    number,
    number,
  ];
  return { difference, low: bounded.low ? low : null, high: bounded.high ? high : null };
}
