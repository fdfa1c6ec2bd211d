import { interpolated } from "../../numerics/interpolation.ts";
import { mean } from "../../numerics/moments.ts";
import { noiseFindings } from "../noise/noise.ts";
import type { NoiseReading } from "../noise/noiseReading.ts";
import { type ComparedRun, hasLevelled, isSteady, measured } from "../runs/comparedRun.ts";
import { toMillionths } from "./verdict.ts";

/** One fan speed of a build: how hot and how loud. */
export type HeatAndNoise = Readonly<{
  fanRpm: number;
  riseC: number;
  noiseDba: number;
  distanceM: number;
  runs: number;
  /** Of the runs behind it. */
  mountIds: readonly string[];
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
    return usable && riseC !== null && run.fanRpm !== null
      ? [{ fanRpm: run.fanRpm, riseC, mountId: run.mountId }]
      : [];
  });
  return readingsBySpeed(readings, fanSpeedOf)
    .flatMap(({ fanRpm, of }) => {
      const near = heat.filter((one) => isSameSpeed(one.fanRpm, fanRpm));
      return near.length === 0 ? [] : [pointOf(fanRpm, near, of)];
    })
    .sort((first, second) => first.noiseDba - second.noiseDba);
}

export const isSameSpeed = (first: number, second: number): boolean =>
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

function pointOf(
  fanRpm: number,
  heat: readonly Readonly<{ riseC: number; mountId: string }>[],
  readings: readonly NoiseReading[],
): HeatAndNoise {
  const found = readings.map(noiseFindings);
  return {
    fanRpm,
    riseC: toMillionths(mean(heat.map(({ riseC }) => riseC))!),
    noiseDba: toMillionths(mean(found.map((one) => one.correctedDba ?? one.meanDba))!),
    distanceM: readings[0]!.distanceM,
    runs: heat.length,
    mountIds: [...new Set(heat.map(({ mountId }) => mountId))],
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
  /** Whether some loudness used of a, of b, is only the most it can be. */
  bounds: readonly [boolean, boolean];
  from: string;
}>;

/** Compared only at the distance both were read at, and only over the loudness both cover. */
export function atEqualNoise(
  a: readonly HeatAndNoise[],
  b: readonly HeatAndNoise[],
): AtEqualNoise | undefined {
  const distanceM = sharedDistance(a, b);
  if (distanceM === undefined) return undefined;
  const there = (points: readonly HeatAndNoise[]) => points.filter((point) => point.distanceM === distanceM);
  const [ofA, ofB] = surest(there(a), there(b));
  const points = loudnessesOf(ofA, ofB).flatMap((noiseDba) => {
    const [aRiseC, bRiseC] = [riseAt(ofA, noiseDba), riseAt(ofB, noiseDba)];
    if (aRiseC === undefined || bRiseC === undefined) return [];
    return [
      {
        noiseDba,
        aRiseC: toMillionths(aRiseC),
        bRiseC: toMillionths(bRiseC),
        differenceC: toMillionths(bRiseC - aRiseC),
      },
    ];
  });
  const differences = points.map((point) => point.differenceC);
  return {
    distanceM,
    points,
    meanDifferenceC: differences.length === 0 ? null : toMillionths(mean(differences)!),
    bounds: [isBounded(ofA), isBounded(ofB)],
    from: `read between ${ofA.length} and ${ofB.length} fan speeds, straight from one to the next`,
  };
}

const isBounded = (points: readonly HeatAndNoise[]): boolean =>
  points.some(({ isUpperBound }) => isUpperBound);

/** Only what is surely so loud, where that is enough to compare by; else everything. */
function surest(a: HeatAndNoise[], b: HeatAndNoise[]): [HeatAndNoise[], HeatAndNoise[]] {
  const [sureA, sureB] = [a, b].map((points) => points.filter(({ isUpperBound }) => !isUpperBound)) as [
    HeatAndNoise[],
    HeatAndNoise[],
  ];
  const isEnough =
    sureA.length >= 2 &&
    sureB.length >= 2 &&
    Math.max(sureA[0]!.noiseDba, sureB[0]!.noiseDba) <=
      Math.min(sureA.at(-1)!.noiseDba, sureB.at(-1)!.noiseDba);
  return isEnough ? [sureA, sureB] : [a, b];
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
