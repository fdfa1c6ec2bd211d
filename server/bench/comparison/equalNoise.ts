import { interpolated } from "../../numerics/interpolation.ts";
import { mean } from "../../numerics/moments.ts";
import { noiseFindings } from "../noise.ts";
import type { NoiseReading } from "../noiseReading.ts";
import { type ComparedRun, hasLevelled, isSteady, measured } from "./comparedRun.ts";
import { settled } from "./verdict.ts";

/** One fan speed of a build: how hot and how loud. */
export type HeatAndNoise = Readonly<{
  fanRpm: number;
  riseC: number;
  noiseDba: number;
  distanceM: number;
  runs: number;
  readings: number;
  isUpperBound: boolean;
}>;

/** Which fan speed a noise reading was taken at; readings themselves do not carry it. */
export type FanSpeedOf = (reading: NoiseReading) => number | null;

/** A reading taken this long before or after a run still belongs to it. */
const besideRunS = 900;

/** Each reading has the fan speed of the run it was taken in, or nearest to, of the same workload and setting. */
export function fanSpeedDuring(runs: readonly ComparedRun[]): FanSpeedOf {
  const known = runs.filter((run) => run.fanRpm !== null);
  return (reading) => {
    const near = known
      .filter((run) => isSameCondition(run, reading))
      .map((run) => ({ run, apartS: secondsApart(run, reading.takenAt) }))
      .sort((first, second) => first.apartS - second.apartS)[0];
    return near === undefined || near.apartS > besideRunS ? null : near.run.fanRpm;
  };
}

const isSameCondition = (run: ComparedRun, reading: NoiseReading): boolean =>
  (reading.workloadId === null || reading.workloadId === run.workloadId) &&
  (reading.clockMhz === null || reading.clockMhz === run.clockMhz) &&
  (reading.voltageMv === null || reading.voltageMv === run.voltageMv);

const secondsApart = (run: ComparedRun, takenAt: string): number => {
  const sinceStartS = (Date.parse(takenAt) - Date.parse(run.startedAt)) / 1000;
  return Math.max(0, -sinceStartS, sinceStartS - (run.durationS ?? 0));
};

/** A fan speed read within this share of another is the same one. */
const sameSpeedShare = 0.03;

/** Temperature against loudness over fan speed, at one setting and one distance, quietest first. */
export function heatAndNoiseOf(
  runs: readonly ComparedRun[],
  readings: readonly NoiseReading[],
  fanSpeedOf: FanSpeedOf,
): HeatAndNoise[] {
  const heat = runs.flatMap((run) => {
    const riseC = measured("loadRise", run, false);
    const usable = isSteady(run) && hasLevelled(run) && run.throttled !== true;
    return usable && riseC !== null && run.fanRpm !== null ? [{ fanRpm: run.fanRpm, riseC }] : [];
  });
  return readingsBySpeed(readings, fanSpeedOf)
    .flatMap(({ fanRpm, of }) => {
      const near = heat.filter((one) => isSameSpeed(one.fanRpm, fanRpm));
      return near.length === 0
        ? []
        : [
            pointOf(
              fanRpm,
              near.map((one) => one.riseC),
              of,
            ),
          ];
    })
    .sort((first, second) => first.noiseDba - second.noiseDba);
}

const isSameSpeed = (first: number, second: number): boolean =>
  Math.abs(first - second) <= sameSpeedShare * Math.max(first, second);

type AtSpeed = Readonly<{ fanRpm: number; of: NoiseReading[] }>;

function readingsBySpeed(readings: readonly NoiseReading[], fanSpeedOf: FanSpeedOf): AtSpeed[] {
  const groups: AtSpeed[] = [];
  for (const reading of readings) {
    const fanRpm = fanSpeedOf(reading);
    if (fanRpm === null) continue;
    const group = groups.find(
      (one) => isSameSpeed(one.fanRpm, fanRpm) && one.of[0]!.distanceM === reading.distanceM,
    );
    if (group === undefined) groups.push({ fanRpm, of: [reading] });
    else group.of.push(reading);
  }
  return groups;
}

function pointOf(fanRpm: number, risesC: readonly number[], readings: readonly NoiseReading[]): HeatAndNoise {
  const found = readings.map(noiseFindings);
  return {
    fanRpm,
    riseC: settled(mean(risesC)!),
    noiseDba: settled(mean(found.map((one) => one.correctedDba ?? one.meanDba))!),
    distanceM: readings[0]!.distanceM,
    runs: risesC.length,
    readings: readings.length,
    isUpperBound: found.some((one) => one.correction === "upper-bound" || one.correction === "no-background"),
  };
}

/** The temperature difference at one loudness, b minus a; null where either build was never that loud. */
export type AtEqualNoise = Readonly<{
  distanceM: number;
  points: readonly Readonly<{ noiseDba: number; aRiseC: number; bRiseC: number; differenceC: number }>[];
  /** The mean difference over the loudness both cover. */
  meanDifferenceC: number | null;
  from: string;
}>;

/** Compared only at the distance both were read at, and only over the loudness both cover. */
export function atEqualNoise(
  a: readonly HeatAndNoise[],
  b: readonly HeatAndNoise[],
): AtEqualNoise | undefined {
  const distanceM = sharedDistance(a, b);
  if (distanceM === undefined) return undefined;
  const [ofA, ofB] = [a, b].map((points) => points.filter((point) => point.distanceM === distanceM)) as [
    HeatAndNoise[],
    HeatAndNoise[],
  ];
  const points = loudnessesOf(ofA, ofB).flatMap((noiseDba) => {
    const [aRiseC, bRiseC] = [riseAt(ofA, noiseDba), riseAt(ofB, noiseDba)];
    if (aRiseC === undefined || bRiseC === undefined) return [];
    return [
      { noiseDba, aRiseC: settled(aRiseC), bRiseC: settled(bRiseC), differenceC: settled(bRiseC - aRiseC) },
    ];
  });
  const differences = points.map((point) => point.differenceC);
  return {
    distanceM,
    points,
    meanDifferenceC: differences.length === 0 ? null : settled(mean(differences)!),
    from: `read between ${ofA.length} and ${ofB.length} fan speeds, straight from one to the next`,
  };
}

function sharedDistance(a: readonly HeatAndNoise[], b: readonly HeatAndNoise[]): number | undefined {
  const depth = (distanceM: number): number =>
    Math.min(...[a, b].map((points) => points.filter((point) => point.distanceM === distanceM).length));
  return [...new Set(a.map((point) => point.distanceM))]
    .filter((distanceM) => depth(distanceM) >= 2)
    .sort((first, second) => depth(second) - depth(first))[0];
}

const loudnessesOf = (a: readonly HeatAndNoise[], b: readonly HeatAndNoise[]): number[] =>
  [...new Set([...a, ...b].map((point) => point.noiseDba))].sort((first, second) => first - second);

const riseAt = (points: readonly HeatAndNoise[], noiseDba: number): number | undefined =>
  interpolated(
    points.map((point) => [point.noiseDba, point.riseC] as const),
    noiseDba,
  );
