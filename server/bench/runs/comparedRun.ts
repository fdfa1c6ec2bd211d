import type { Attempt } from "../things/attempt.ts";
import { outcomeClass } from "../things/outcome.ts";

export const comparedFields = [
  "id",
  "mountId",
  "workloadId",
  "clockMhz",
  "voltageMv",
  "outcome",
  "startedAt",
  "durationS",
  "ambientC",
  "loadTempC",
  "peakTempC",
  "startTempC",
  "supplyTempC",
  "loadVoltageMv",
  "currentA",
  "powerW",
  "powerAt",
  "fanRpm",
  "effectiveClockMhz",
  "throttled",
  "clockMode",
  "correctedErrors",
  "score",
  "offset",
  "offsets",
  "part",
  "knobs",
] as const satisfies readonly (keyof Attempt)[];

type AsOffset = "offset" | "offsets" | "part" | "knobs";

/** The part of an attempt that comparing builds looks at. */
export type ComparedRun = Readonly<
  Pick<Attempt, Exclude<(typeof comparedFields)[number], AsOffset>> &
    Readonly<{ [Field in AsOffset]?: Attempt[Field] | undefined }> & {
      /** True where a sensor trace is kept with the attempt. */
      traced?: boolean;
      /** Standard uncertainty of the level from the trace itself, where there is one. */
      withinRunC?: number | null;
    }
>;

/** One build as it enters a comparison. */
export type ComparedBuild = Readonly<{
  id: string;
  name: string;
  chipId: string;
  runs: readonly ComparedRun[];
}>;

/** What a run may be measured by; `score` and `noise` stand in lists of their own. */
export const measures = [
  "loadRise",
  "peakRise",
  "idleRise",
  "supplyRise",
  "power",
  "fan",
  "effectiveClock",
] as const;
type Measure = (typeof measures)[number];
export type RunMeasure = Measure | "score";

type Traits = Readonly<{
  unit: string;
  words: string;
  /** For the margin of a chart. */
  short: string;
  /** Temperatures move with the mount, so that runs on one mount are one mount. */
  byMount: boolean;
}>;

export const measureTraits: Readonly<Record<RunMeasure, Traits>> = {
  loadRise: {
    unit: "°C",
    words: "load temperature over the room",
    short: "Loaded",
    byMount: true,
  },
  peakRise: {
    unit: "°C",
    words: "peak temperature over the room",
    short: "Peak",
    byMount: true,
  },
  idleRise: {
    unit: "°C",
    words: "idle temperature over the room",
    short: "Idle",
    byMount: true,
  },
  supplyRise: {
    unit: "°C",
    words: "core supply temperature over the room",
    short: "Core supply",
    byMount: true,
  },
  power: { unit: "W", words: "power", short: "Power", byMount: false },
  fan: {
    unit: "rpm",
    words: "fan speed",
    short: "Fan speed",
    byMount: false,
  },
  effectiveClock: {
    unit: "MHz",
    words: "effective clock",
    short: "Effective clock",
    byMount: false,
  },
  score: { unit: "", words: "score", short: "Score", byMount: false },
};

/** What was read off the instrument for one measure, the room still in it; null where it was not read. */
export function readFor(measure: RunMeasure, run: ComparedRun, isIdle: boolean): number | null {
  if (measure === "idleRise") return isIdle ? (run.loadTempC ?? run.startTempC) : null;
  if (measure === "power") return run.powerW;
  if (measure === "fan") return run.fanRpm;
  if (isIdle) return null;
  if (measure === "loadRise") return run.loadTempC;
  if (measure === "peakRise") return run.peakTempC;
  if (measure === "supplyRise") return run.supplyTempC;
  return measure === "score" ? run.score : run.effectiveClockMhz;
}

/** What a run says of one measure, temperatures as their rise over the room; null where something was not read. */
export function measured(measure: RunMeasure, run: ComparedRun, isIdle: boolean): number | null {
  const read = readFor(measure, run, isIdle);
  if (read === null || !measureTraits[measure].byMount) return read;
  return run.ambientC === null ? null : read - run.ambientC;
}

/** Runs from this length on, or with a trace, count as levelled out. */
const levelledFromS = 600;

/** A run tells what a setting is like where it kept running there: neither crashed nor stopped by heat or chance. */
export const isSteady = (run: Pick<ComparedRun, "outcome">): boolean =>
  outcomeClass(run.outcome) === "pass" || outcomeClass(run.outcome) === "stopped";

export const hasLevelled = (run: ComparedRun): boolean =>
  run.traced === true || (run.durationS ?? 0) >= levelledFromS;
