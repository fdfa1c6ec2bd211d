import { groupedBy } from "../../numerics/groups.ts";
import { mean, sampleVariance } from "../../numerics/moments.ts";
import {
  levelAtDistanceDba,
  meterAccuracyDb,
  type NoiseCorrection,
  noiseFindings,
  noiseUncertainty,
} from "../noise/noise.ts";
import type { NoiseReading } from "../noise/noiseReading.ts";
import { standardOfHalfWidth } from "./assumptions.ts";
import { type BudgetLine, budgetTotal, toMillionths } from "./verdict.ts";

/** What a noise reading was taken under: a load at a setting, or the fans alone. */
export type NoiseCondition = Readonly<Pick<NoiseReading, "workloadId" | "clockMhz" | "voltageMv">>;

/** How loud a build is under one condition, from every reading at one distance. */
export type BuildLoudness = NoiseCondition &
  Readonly<{
    distanceM: number;
    /** The mean with the background taken out; at most this where `isUpperBound`. */
    levelDba: number;
    /** 95 % ends; no lower one where the level is only the most it can be. */
    lowDba: number | null;
    highDba: number;
    correction: NoiseCorrection;
    isUpperBound: boolean;
    atOneMetreDba: number;
    readings: number;
  }>;

/** Readings of different distance or condition stand apart; the loudest first. */
export const loudnessesOf = (readings: readonly NoiseReading[]): BuildLoudness[] =>
  [...groupedBy(readings, apartKey).values()]
    .map(loudnessOf)
    .sort((first, second) => second.atOneMetreDba - first.atOneMetreDba);

const apartKey = ({ workloadId, clockMhz, voltageMv, distanceM }: NoiseReading): string =>
  `${workloadId} ${clockMhz} ${voltageMv} ${distanceM}`;

/** The poorest correction speaks for them all. */
const poorestFirst: readonly NoiseCorrection[] = ["no-background", "upper-bound", "applied", "none"];

function loudnessOf(readings: readonly NoiseReading[]): BuildLoudness {
  const { workloadId, clockMhz, voltageMv, distanceM } = readings[0]!;
  const found = readings.map(noiseFindings);
  const levels = found.map((one) => one.correctedDba ?? one.meanDba);
  const correction = poorestFirst.find((one) => found.some((each) => each.correction === one))!;
  const isUpperBound = correction === "no-background" || correction === "upper-bound";
  const levelDba = toMillionths(mean(levels)!);
  const half = budgetTotal(linesOf(readings, levels))!.expanded;
  return {
    workloadId,
    clockMhz,
    voltageMv,
    distanceM,
    levelDba,
    lowDba: isUpperBound ? null : toMillionths(levelDba - half),
    highDba: toMillionths(levelDba + half),
    correction,
    isUpperBound,
    atOneMetreDba: levelAtDistanceDba(levelDba, distanceM, 1),
    readings: readings.length,
  };
}

/** Putting the meter back moves a reading by about this much (common practice, half-width). */
const placeHalfWidthDb = 1;

function linesOf(readings: readonly NoiseReading[], levels: readonly number[]): BudgetLine[] {
  const sure = readings.map((reading) => noiseUncertainty(reading));
  const magnification = Math.max(...sure.map((one) => one.magnification));
  const line = (source: string, a: number, from: string, degreesOfFreedom: number | null): BudgetLine => ({
    source,
    a,
    b: null,
    from,
    counted: true,
    degreesOfFreedom,
  });
  const meter = line("sound meter", sure[0]!.meterDb * magnification, `±${meterAccuracyDb} dB`, null);
  const variance = sampleVariance(levels);
  if (variance !== undefined) {
    const scatter = Math.sqrt(variance / levels.length);
    return [line("reading to reading", scatter, "repeated readings", levels.length - 1), meter];
  }
  const place = standardOfHalfWidth(placeHalfWidthDb) * magnification;
  const within = sure[0]!;
  return [
    ...(within.readingsDb === null
      ? []
      : [line("within a reading", within.readingsDb, "levels read in turn", within.degreesOfFreedom)]),
    line("the meter's place", place, `±${placeHalfWidthDb} dB (common practice): one reading`, null),
    meter,
  ];
}
