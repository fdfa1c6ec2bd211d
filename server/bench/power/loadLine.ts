import { groupedBy } from "../../numerics/groups.ts";
import { halfWidth95, straightLine } from "../../numerics/straightLine.ts";
import {
  type ElectricalReading,
  type ElectricalRun,
  type Found,
  foundWith,
  keptRunning,
  type Unknown,
} from "../runs/electricalRun.ts";

/** How far the voltage droops per ampere, under one load-line setting of the firmware. */
export type LoadLine = Readonly<{
  /** As the firmware calls it; null where it was not noted. */
  setting: string | null;
  /** mV per A, which is milliohm. */
  milliohm: Found;
  /** Droop without any current: an offset of the supply or of whoever reads it. */
  offsetMv: Found;
  readings: number;
  /** True where current was worked out from power and voltage. */
  currentWorkedOut: boolean;
  readAt: string | null;
}>;

/** Set voltage less load voltage; above zero where it droops. */
export const droopMv = (run: Pick<ElectricalRun, "voltageMv" | "loadVoltageMv">): number | null =>
  run.loadVoltageMv === null ? null : Math.round((run.voltageMv - run.loadVoltageMv) * 1000) / 1000;

/** The current read, else the chip's power over the voltage that arrived. */
export const currentOf = (run: ElectricalReading): number | null =>
  run.currentA ??
  (run.powerW !== null && run.loadVoltageMv !== null && (run.powerAt ?? "chip") === "chip"
    ? (run.powerW / run.loadVoltageMv) * 1000
    : null);

/** One load-line for each firmware setting and place of reading; where it cannot be told, why not. */
export function loadLinesOf(
  runs: readonly ElectricalRun[],
): (LoadLine | (Unknown & Pick<LoadLine, "setting" | "readAt">))[] {
  const read = runs.filter((run) => keptRunning(run) && droopMv(run) !== null && currentOf(run) !== null);
  return [...groupedBy(read, (run) => JSON.stringify([run.loadLine, run.voltageReadAt])).values()].map(
    lineOf,
  );
}

function lineOf(runs: readonly ElectricalRun[]): ReturnType<typeof loadLinesOf>[number] {
  const { loadLine: setting, voltageReadAt: readAt } = runs[0]!;
  const line = straightLine(runs.map((run) => [currentOf(run)!, droopMv(run)!] as const));
  if (line === undefined)
    return {
      setting,
      readAt,
      unknown: "Droop was read at one current only; a lighter load shows the slope.",
    };
  const half = (error: number | undefined) => halfWidth95(error, line.degreesOfFreedom);
  return {
    setting,
    readAt,
    milliohm: foundWith(line.slope, half(line.slopeError)),
    offsetMv: foundWith(line.intercept, half(line.interceptError)),
    readings: runs.length,
    currentWorkedOut: runs.some((run) => run.currentA === null),
  };
}
