import { groupedBy } from "../../numerics/groups.ts";
import { meterAccuracyDb, noiseUncertainty } from "../noise/noise.ts";
import type { NoiseReading } from "../noise/noiseReading.ts";
import { type ComparedRun, hasLevelled, isSteady, measured } from "../runs/comparedRun.ts";
import {
  type Assumptions,
  sameSensorShare,
  standardOfHalfWidth,
  statedDegreesOfFreedom,
} from "./assumptions.ts";
import type { AtEqualNoise, HeatAndNoise } from "./equalNoise.ts";
import { fansSetApart } from "./fanSweep.ts";
import { placeHalfWidthDb } from "./loudness.ts";
import { accuracyLines } from "./measureBudget.ts";
import { repeatedMounts, type Scatter, scatterOf, scatterSource, settingKey } from "./scatter.ts";
import { sweptMountMeans } from "./sweptMounts.ts";
import { type BudgetLine, budgetTotal, toMillionths, type Verdict, verdictOf } from "./verdict.ts";

/** How surely two builds differ where both are equally loud. */
export type EqualNoiseInterval = Readonly<{
  /** 95 %, of the mean difference; an end that the readings leave open is null. */
  low: number | null;
  high: number | null;
  verdict: Verdict;
  budget: readonly BudgetLine[];
}>;

/** One build's part: its points at the distance compared, and what they were read from. */
export type EqualNoiseSide = Readonly<{
  points: readonly HeatAndNoise[];
  readings: readonly NoiseReading[];
  runs: readonly ComparedRun[];
}>;

type Condition = Pick<ComparedRun, "workloadId" | "clockMhz" | "voltageMv">;

/**
 * Mounts scatter as they do elsewhere; the meter and its place are off by the same at every fan speed of a build, which the
 * slope of temperature over loudness turns into degrees. Without a known scatter between mounts nothing can be said.
 */
export function equalNoiseInterval(
  at: AtEqualNoise,
  sides: readonly [EqualNoiseSide, EqualNoiseSide],
  condition: Condition,
  elsewhere: readonly (readonly ComparedRun[])[],
  assumptions: Assumptions,
): EqualNoiseInterval | null {
  if (at.meanDifferenceC === null) return null;
  const scatter = mountScatterOf(sides, condition, elsewhere, assumptions);
  const budget = [
    mountLine(sides, scatter),
    loudnessLine(sides, at),
    ...accuracyLines("loadRise", assumptions),
  ];
  const expanded = scatter === null ? undefined : budgetTotal(budget)?.expanded;
  const { low, high } = endsOf(at.meanDifferenceC, at.bounds, expanded);
  return { low, high, verdict: verdictOf(low, high), budget };
}

const levelledRise = (run: ComparedRun): number | null =>
  isSteady(run) && hasLevelled(run) && run.throttled !== true ? measured("loadRise", run, false) : null;

/** Runs of one day whose fan speeds were set apart are no plain repeats: what lies between them is the fans. */
const withoutSweeps = (runs: readonly ComparedRun[]): ComparedRun[] =>
  [...groupedBy(runs, (run) => `${settingKey(run)} ${run.mountId} ${run.startedAt.slice(0, 10)}`).values()]
    .filter((alike) => !fansSetApart(alike))
    .flat();

function mountScatterOf(
  [a, b]: readonly [EqualNoiseSide, EqualNoiseSide],
  condition: Condition,
  elsewhere: readonly (readonly ComparedRun[])[],
  { mountScatterC }: Assumptions,
): Scatter | null {
  const key = settingKey({ ...condition, clockMode: null });
  const mountsOf = (runs: readonly ComparedRun[]): number[] => {
    const plain = repeatedMounts(scatterSource(withoutSweeps(runs)), key, "loadRise levelled", levelledRise);
    const here = runs.filter((run) => settingKey(run) === key);
    return plain.length >= 2 ? plain : sweptMountMeans(here, levelledRise);
  };
  const over = (all: readonly (readonly ComparedRun[])[]): Scatter | undefined =>
    scatterOf(all.map(mountsOf), "mounts");
  const isKnown =
    (over([a.runs]) !== undefined && over([b.runs]) !== undefined) || over(elsewhere) !== undefined;
  if (isKnown) return over([a.runs, b.runs, ...elsewhere]) ?? null;
  if (mountScatterC === null) return null;
  return {
    standardDeviation: mountScatterC,
    degreesOfFreedom: statedDegreesOfFreedom,
    from: "as stated by the tester, taken to be known to a quarter",
  };
}

const mountsBehind = ({ points }: EqualNoiseSide): number =>
  new Set(points.flatMap(({ mountIds }) => mountIds)).size;

function mountLine(sides: readonly [EqualNoiseSide, EqualNoiseSide], scatter: Scatter | null): BudgetLine {
  const part = (side: EqualNoiseSide): number | null =>
    scatter && scatter.standardDeviation / Math.sqrt(Math.max(1, mountsBehind(side)));
  return {
    source: "mount to mount",
    a: part(sides[0]),
    b: part(sides[1]),
    from: scatter?.from ?? "not known: mount each build twice, or say how far mounts scatter",
    counted: scatter !== null,
    degreesOfFreedom: scatter?.degreesOfFreedom ?? null,
  };
}

function loudnessLine(sides: readonly [EqualNoiseSide, EqualNoiseSide], at: AtEqualNoise): BudgetLine {
  const part = ({ points, readings }: EqualNoiseSide): number => {
    const magnification = Math.max(1, ...readings.map((reading) => noiseUncertainty(reading).magnification));
    const meterDb = (standardOfHalfWidth(meterAccuracyDb) * sameSensorShare) / Math.SQRT2;
    const placeDb = standardOfHalfWidth(placeHalfWidthDb);
    return slopeOf(points, at) * magnification * Math.hypot(meterDb, placeDb);
  };
  return {
    source: "loudness",
    a: part(sides[0]),
    b: part(sides[1]),
    from: `the meter's place ±${placeHalfWidthDb} dB (common practice) and a fifth of ±${meterAccuracyDb} dB, by the slope of each curve`,
    counted: true,
    degreesOfFreedom: null,
  };
}

/** Degrees per decibel over the loudness compared, else over all that was read. */
function slopeOf(points: readonly HeatAndNoise[], at: AtEqualNoise): number {
  const [quiet, loud] = [at.points[0]?.noiseDba ?? 0, at.points.at(-1)?.noiseDba ?? 0];
  const within = points.filter(({ noiseDba }) => noiseDba >= quiet && noiseDba <= loud);
  const used = within.length >= 2 ? within : points;
  const [first, last] = [used[0]!, used.at(-1)!];
  const spanDb = last.noiseDba - first.noiseDba;
  return spanDb > 0 ? Math.abs(last.riseC - first.riseC) / spanDb : 0;
}

/** A level that is only the most it can be leaves the end open on the side that would grow. */
function endsOf(
  difference: number,
  [isBoundA, isBoundB]: AtEqualNoise["bounds"],
  expanded: number | undefined,
): Pick<EqualNoiseInterval, "low" | "high"> {
  if (expanded === undefined) return { low: null, high: null };
  return {
    low: isBoundB ? null : toMillionths(difference - expanded),
    high: isBoundA ? null : toMillionths(difference + expanded),
  };
}
