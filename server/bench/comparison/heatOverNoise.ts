import { groupedBy } from "../../numerics/groups.ts";
import type { NoiseReading } from "../noise/noiseReading.ts";
import type { ComparedRun } from "../runs/comparedRun.ts";
import type { Assumptions } from "./assumptions.ts";
import type { NoiseCondition } from "./buildLoudness.ts";
import {
  type AtEqualNoise,
  atEqualNoise,
  fanSpeedDuring,
  type HeatAndNoise,
  heatAndNoiseOf,
} from "./equalNoise.ts";
import { type EqualNoiseInterval, type EqualNoiseSide, equalNoiseInterval } from "./equalNoiseInterval.ts";
import { verdictWords } from "./verdict.ts";

type Read = Readonly<{ runs: readonly ComparedRun[]; readings: readonly NoiseReading[] }>;

/** Temperature against loudness over fan speed, at one setting and one distance. */
export type HeatCurve = NoiseCondition & Readonly<{ distanceM: number; points: readonly HeatAndNoise[] }>;

/** Every setting that was read at two fan speeds or more, the best covered first. */
export function heatCurvesOf({ runs, readings }: Read): HeatCurve[] {
  const atSettings = readings.filter(isAtSetting);
  return [...groupedBy(atSettings, settingOf).values()]
    .flatMap((of) => curvesAt(of[0]!, runs, of))
    .sort((first, second) => second.points.length - first.points.length);
}

const isAtSetting = (reading: NoiseReading): boolean =>
  reading.workloadId !== null && reading.clockMhz !== null && reading.voltageMv !== null;

const settingOf = ({ workloadId, clockMhz, voltageMv }: NoiseCondition): string =>
  `${workloadId} ${clockMhz} ${voltageMv}`;

function curvesAt(
  { workloadId, clockMhz, voltageMv }: NoiseCondition,
  runs: readonly ComparedRun[],
  readings: readonly NoiseReading[],
): HeatCurve[] {
  const key = settingOf({ workloadId, clockMhz, voltageMv });
  const there = runs.filter((run) => settingOf(run) === key);
  const points = heatAndNoiseOf(there, readings, fanSpeedDuring(there));
  return [...groupedBy(points, (point) => point.distanceM)]
    .filter(([, of]) => of.length >= 2)
    .map(([distanceM, of]) => ({ workloadId, clockMhz, voltageMv, distanceM, points: of }));
}

export type EqualNoise = Readonly<{
  curve: HeatCurve;
  /** Other builds read at the same setting and distance, with the difference at equal loudness, theirs less this one's. */
  others: readonly Readonly<{
    id: string;
    name: string;
    curve: HeatCurve;
    at: AtEqualNoise;
    /** Null where both were never equally loud. */
    interval: EqualNoiseInterval | null;
  }>[];
}>;

/** What else tells how far mounts scatter, and what is taken as given. */
export type EqualNoiseGrounds = Readonly<{
  /** Runs of further builds of the chip. */
  elsewhere: readonly (readonly ComparedRun[])[];
  assumptions: Assumptions;
}>;

/** A build's best covered setting, and every other build that was read over fan speeds there; undefined under two speeds. */
export function equalNoiseOf(
  build: Read,
  others: readonly Other[],
  grounds: EqualNoiseGrounds,
): EqualNoise | undefined {
  const found = heatCurvesOf(build).map((curve) => ({
    curve,
    others: sharedWith(build, curve, others, grounds),
  }));
  return found.find((one) => one.others.length > 0) ?? found[0];
}

type Other = Read & Readonly<{ id: string; name: string }>;

const sharedWith = (
  build: Read,
  curve: HeatCurve,
  others: readonly Other[],
  { elsewhere, assumptions }: EqualNoiseGrounds,
): EqualNoise["others"] =>
  others.flatMap((other) => {
    const same = heatCurvesOf(other).find(
      (one) => settingOf(one) === settingOf(curve) && one.distanceM === curve.distanceM,
    );
    const at = same && atEqualNoise(curve.points, same.points);
    if (same === undefined || at === undefined) return [];
    const sides = [sideOf(build, curve), sideOf(other, same)] as const;
    const further = [...elsewhere, ...others.filter((one) => one !== other).map(({ runs }) => runs)];
    const condition = runCondition(curve);
    const interval = condition && equalNoiseInterval(at, sides, condition, further, assumptions);
    return [{ id: other.id, name: other.name, curve: same, at, interval }];
  });

const sideOf = ({ runs, readings }: Read, curve: HeatCurve): EqualNoiseSide => ({
  points: curve.points,
  readings: readings.filter(
    (one) => settingOf(one) === settingOf(curve) && one.distanceM === curve.distanceM,
  ),
  runs,
});

const runCondition = ({ workloadId, clockMhz, voltageMv }: HeatCurve) =>
  workloadId === null || clockMhz === null || voltageMv === null ? null : { workloadId, clockMhz, voltageMv };

/** What equal loudness shows, claiming no more than was read. */
export function equalNoiseWords(
  aName: string,
  bName: string,
  { at, interval }: Pick<EqualNoise["others"][number], "at" | "interval">,
): string {
  const { meanDifferenceC, points } = at;
  if (meanDifferenceC === null)
    return `${aName} and ${bName} were never equally loud: set a fan speed between, and read both again.`;
  const [quiet, loud] = [points[0]!.noiseDba, points.at(-1)!.noiseDba];
  const over =
    quiet === loud ? `at ${quiet.toFixed(0)} dB(A)` : `from ${quiet.toFixed(0)} to ${loud.toFixed(0)} dB(A)`;
  const sure = sureWords(interval);
  if (Math.abs(meanDifferenceC) < 0.5)
    return `Equally loud, ${over}, ${aName} and ${bName} run within half a degree of one another${sure}.`;
  const cooler = meanDifferenceC < 0 ? bName : aName;
  return `Equally loud, ${over}, ${cooler} runs ${Math.abs(meanDifferenceC).toFixed(1)} °C cooler on average${sure}.`;
}

/** The interval as degrees of the difference, the other build's less this one's. */
function sureWords(interval: EqualNoiseInterval | null): string {
  if (
    interval === null ||
    !interval.budget.some(({ source, counted }) => counted && source === "mount to mount")
  )
    return "; how far mounts scatter is not known, so it is not judged";
  const { low, high, verdict } = interval;
  if (low === null && high === null)
    return "; both were read too close to the background, or without one, to judge it";
  const ends =
    low === null
      ? `at most ${signed(high!)}`
      : high === null
        ? `at least ${signed(low)}`
        : `${signed(low)} to ${signed(high)}`;
  return ` (difference ${ends} °C, 95 %: ${verdictWords[verdict]})`;
}

const signed = (value: number): string => `${value < 0 ? "−" : "+"}${Math.abs(value).toFixed(1)}`;
