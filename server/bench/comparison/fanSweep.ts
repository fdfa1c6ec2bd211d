import { groupedBy } from "../../numerics/groups.ts";
import type { NoiseReading } from "../noise/noiseReading.ts";
import type { ComparedRun } from "../runs/comparedRun.ts";
import { fanSpeedDuring } from "./equalNoise.ts";

/** Within a day on one mount a fan curve wanders with the room by less than this; speeds further apart were set on purpose. */
const setApartShare = 1.2;

const areSetApart = (speeds: readonly number[]): boolean =>
  speeds.length > 1 && Math.max(...speeds) > setApartShare * Math.min(...speeds);

/** Runs at one setting whose fan speeds were set apart on purpose are no repeats of one another. */
export const fansSetApart = (
  runs: readonly Pick<ComparedRun, "fanRpm" | "mountId" | "startedAt">[],
): boolean =>
  [...groupedBy(runs, (run) => `${run.mountId} ${run.startedAt.slice(0, 10)}`).values()].some((ofDay) =>
    areSetApart(ofDay.flatMap((run) => run.fanRpm ?? [])),
  );

/**
 * The readings that may stand for one another. Where a condition was read on one day at fan speeds set apart on purpose,
 * they are no repeats: those readings belong to the comparison at equal loudness, and their mean would mean nothing.
 */
export function withoutFanSweeps(
  readings: readonly NoiseReading[],
  runs: readonly ComparedRun[],
): NoiseReading[] {
  const fanSpeedOf = fanSpeedDuring(runs);
  const swept = new Set<NoiseReading>();
  for (const ofDay of groupedBy(readings, conditionAndDay).values()) {
    if (areSetApart(ofDay.flatMap((reading) => fanSpeedOf(reading) ?? [])))
      for (const reading of ofDay) if (fanSpeedOf(reading) !== null) swept.add(reading);
  }
  return readings.filter((reading) => !swept.has(reading));
}

const conditionAndDay = ({ workloadId, clockMhz, voltageMv, takenAt }: NoiseReading): string =>
  `${workloadId} ${clockMhz} ${voltageMv} ${takenAt.slice(0, 10)}`;
