import { pointOf, resampled } from "../../numerics/particles.ts";
import { shuffledPlaces } from "../../numerics/shuffledPlaces.ts";
import { weightedQuantilesOf } from "../../numerics/weightedQuantiles.ts";
import { assumedRoomC, medianOf } from "../heat/lawOfHeat.ts";
import type { Chip } from "../things/chip.ts";
import type { EvidenceRow } from "../things/evidenceRow.ts";
import type { PlacedAttempt } from "../things/placedAttempt.ts";
import type { Workload } from "../things/workload.ts";
import { acceptableHazardPerMinute, targetOfUse } from "./acceptance.ts";
import { buildHeatOf, loadedRows } from "./limitEvidence.ts";
import { fitOf, type LimitContext, type LimitFit, limitGroundsOf } from "./limitFit.ts";
import { place } from "./limitParameters.ts";
import { clocksAtHazard, type LimitDraws, limitDrawsOf } from "./limitReach.ts";
import type { SharpnessPrior } from "./sharpness.ts";

export type ComparedRecord = Readonly<{
  chip: Chip;
  rows: readonly EvidenceRow[];
  /** Attempts on automatic voltage that were placed by their readings; they are not among the rows. */
  placed?: readonly PlacedAttempt[];
}>;

/** Two builds whose limits are to be told apart. Plain values, so that a worker can be asked. */
export type DifferenceQuestion = Readonly<{
  a: ComparedRecord;
  b: ComparedRecord;
  workloads: readonly Workload[];
  workloadId: string | null;
  sharpness?: SharpnessPrior;
  seed?: number;
}>;

/** b less a in MHz with its 95 % ends; an end is null where one of the builds has only passed, so that it may lie anywhere beyond. */
type FittedDifference = Readonly<{ differenceMhz: number; low: number | null; high: number | null }>;

export type ClockDifference = FittedDifference &
  Readonly<{
    /** True where both carry the same chip, whose slope, bend and sharpness they then share. */
    joint: boolean;
    /** The same difference at each of the voltages that it is the mean over, lowest first. */
    voltages: readonly (FittedDifference & Readonly<{ voltageMv: number }>)[];
  }>;

const hazard = acceptableHazardPerMinute(targetOfUse.benchmark);

/** Wide enough for any board, cooler and case: a narrow one would draw every difference towards none. */
const boardDeviation = 0.04;
/** The ends of an interval take more draws than its middle. */
const plan = { draws: 800, wanted: 1200, rounds: 8 };
const leastAttempts = 3;

/**
 * How far apart the limits of two builds lie, once levelled in one room, on the mean over the voltages tried on both. Null
 * where a build has fewer than three attempts that say anything, both have only passed, or their voltages do not meet.
 * Method: builds of one chip are fitted together and differ by one share of clock, besides their heat; two chips are fitted apart.
 */
export function clockDifferenceOf(question: DifferenceQuestion): ClockDifference | null {
  const [a, b] = [question.a, question.b].map((record) => ({
    ...record,
    rows: loadedRows(record.rows, question.workloads),
  })) as [ComparedRecord, ComparedRecord];
  const voltages = voltagesOfBoth(a.rows, b.rows);
  if (voltages.length === 0) return null;
  const joint = a.chip.id === b.chip.id;
  const roomC = medianOf([...a.rows, ...b.rows].flatMap(({ ambientC }) => ambientC ?? [])) ?? assumedRoomC;
  const sides = joint ? fittedTogether(question, a, b, roomC) : fittedApart(question, a, b, roomC);
  return sides && { ...differenceOf(sides, voltages), joint };
}

/** Those tried on both; where there are none, those tried on either where their ranges meet. */
function voltagesOfBoth(a: readonly EvidenceRow[], b: readonly EvidenceRow[]): number[] {
  const triedOn = (rows: readonly EvidenceRow[]): number[] =>
    [...new Set(rows.map(({ voltageMv }) => voltageMv))].sort((x, y) => x - y);
  const [ofA, ofB] = [triedOn(a), triedOn(b)];
  const common = ofA.filter((voltageMv) => ofB.includes(voltageMv));
  if (common.length > 0 || ofA.length === 0 || ofB.length === 0) return common;
  const [low, high] = [Math.max(ofA[0]!, ofB[0]!), Math.min(ofA.at(-1)!, ofB.at(-1)!)];
  return [...ofA, ...ofB].filter((voltageMv) => voltageMv >= low && voltageMv <= high).sort((x, y) => x - y);
}

/** The draws of either build, one for one, and whether each build's limit is bounded from above. */
type Sides = Readonly<{
  a: LimitDraws;
  b: LimitDraws;
  weights: Float64Array;
  bounded: Readonly<{ a: boolean; b: boolean }>;
}>;

const contextOf = (
  { workloads, sharpness }: DifferenceQuestion,
  { chip, rows, placed = [] }: ComparedRecord,
): LimitContext => ({
  chip,
  rows,
  placed,
  workloads,
  hottestAmbientC: 30,
  boardDeviation,
  errors: false,
  ...(sharpness && { sharpness }),
});

const failedIn = (fit: LimitFit, build: number): boolean =>
  fit.records.some((record) => record.build === build && record.failed);
const attemptsIn = (fit: LimitFit, build: number): number =>
  fit.records.reduce((sum, record) => sum + (record.build === build ? record.count : 0), 0);

function fittedTogether(
  question: DifferenceQuestion,
  ofA: ComparedRecord,
  { rows, placed = [] }: ComparedRecord,
  roomC: number,
): Sides | null {
  const otherBuilds = [{ name: "b", rows, placed }];
  const grounds = limitGroundsOf({ ...contextOf(question, ofA), otherBuilds });
  if (grounds === null) return null;
  const fit = fitOf(grounds, question.seed ?? 1, plan);
  if (attemptsIn(fit, 0) < leastAttempts || attemptsIn(fit, 1) < leastAttempts) return null;
  const bounded = { a: failedIn(fit, 0), b: failedIn(fit, 1) };
  if (!bounded.a && !bounded.b) return null;
  const a = limitDrawsOf(fit, fit.draws, question.workloadId ?? fit.heaviestId, roomC);
  const board = place.offsets + fit.lighterIds.length;
  const logLimit = a.logLimit.map((value, k) => value + boardDeviation * pointOf(fit.draws, k)[board]!);
  const b = { ...a, logLimit, fit: { ...fit, heat: buildHeatOf(rows, fit.frame) } };
  return { a, b, weights: a.weights, bounded };
}

const pairs = 2000;

/** Each build from its own attempts; draws of one are paired with draws of the other by chance. */
function fittedApart(
  question: DifferenceQuestion,
  ofA: ComparedRecord,
  ofB: ComparedRecord,
  roomC: number,
): Sides | null {
  const fits = [ofA, ofB].map((record, i) => {
    const grounds = limitGroundsOf(contextOf(question, record));
    return grounds === null ? null : fitOf(grounds, (question.seed ?? 1) + i, plan);
  });
  const [fitA, fitB] = fits;
  if (!fitA || !fitB) return null;
  if (attemptsIn(fitA, 0) < leastAttempts || attemptsIn(fitB, 0) < leastAttempts) return null;
  const bounded = { a: failedIn(fitA, 0), b: failedIn(fitB, 0) };
  if (!bounded.a && !bounded.b) return null;
  const drawn = (fit: LimitFit): LimitDraws =>
    limitDrawsOf(fit, resampled(fit.draws, pairs, 0.5), question.workloadId ?? fit.heaviestId, roomC);
  const b = shuffled(drawn(fitB), question.seed ?? 1);
  const a = drawn(fitA);
  return { a, b, weights: a.weights, bounded };
}

function shuffled(draws: LimitDraws, seed: number): LimitDraws {
  const order = shuffledPlaces(draws.count, seed);
  const mixed = (values: Float64Array): Float64Array => Float64Array.from(order, (k) => values[k]!);
  return {
    ...draws,
    logLimit: mixed(draws.logLimit),
    slope: mixed(draws.slope),
    halfBend: mixed(draws.halfBend),
    sigma: mixed(draws.sigma),
    heat: mixed(draws.heat),
    turn: mixed(draws.turn),
    stray: mixed(draws.stray),
  };
}

function differenceOf(sides: Sides, voltages: readonly number[]): Omit<ClockDifference, "joint"> {
  const total = new Float64Array(sides.weights.length);
  const each = voltages.map((voltageMv) => {
    const ofA = clocksAtHazard(sides.a, voltageMv, hazard);
    const apart = clocksAtHazard(sides.b, voltageMv, hazard).map((clock, k) => clock - ofA[k]!);
    for (let k = 0; k < apart.length; k++) total[k]! += apart[k]! / voltages.length;
    return { voltageMv, ...endsOf(apart, sides) };
  });
  return { ...endsOf(total, sides), voltages: each };
}

function endsOf(values: Float64Array, { weights, bounded }: Sides): FittedDifference {
  const [low, differenceMhz, high] = weightedQuantilesOf(values, weights, [0.025, 0.5, 0.975]) as [
    number,
    number,
    number,
  ];
  return { differenceMhz, low: bounded.a ? low : null, high: bounded.b ? high : null };
}
