import type { Saturation } from "../../numerics/saturation.ts";
import type { CourseChange } from "./changeUnderWay.ts";
import type { HeatCycle } from "./heatCycle.ts";
import type { LoadSpan } from "./loadSpan.ts";
import type { Span } from "./spans.ts";

/** Sooner than this after the load came on, a level is not spoken of. */
export const earliestLevelS = 240;
/** Sooner than this after the load came on, nothing is said of where it tends. */
export const earliestFinalS = 300;
/** A load start that is found, or a row that is missing, may cost this much of it. */
export const startSlackS = 6;

/** What is known beside the trace, and what is asked of it; times in seconds from the first row. */
export type HeatQuestion = Readonly<{
  loadStartS?: number | null | undefined;
  fromS?: number | null | undefined;
  toS?: number | null | undefined;
  /** The room and the power as noted with the attempt, for where the trace has none. */
  ambientC?: number | null | undefined;
  powerW?: number | null | undefined;
  setClockMhz?: number | null | undefined;
  tempLimitC?: number | null | undefined;
  startKind?: "cold" | "warm" | "restart" | null | undefined;
}>;

export type Interval = Readonly<{ mid: number; low: number; high: number }>;

export type HeatLevel = Readonly<{
  meanC: number;
  lowC: number;
  highC: number;
  windowS: number;
  samples: number;
  independent: number;
}>;

/** What a heat run tells. Intervals are of 95 % and hold scatter alone; the sensor's accuracy is kept apart. */
export type HeatRun = Readonly<{
  ambientC: number | null;
  load: LoadSpan | null;
  levelledAtS: number | null;
  level: HeatLevel | null;
  window: Span | null;
  final: Readonly<{ c: number; lowC: number; highC: number }> | null;
  fit: Saturation | null;
  cycle: HeatCycle | null;
  /** What became another under load; nothing is forecast through it. */
  change: CourseChange | null;
  /** Seconds of load before which so slow a course tells no end; null where it tells one, or never will. */
  tellsFromS: number | null;
  /** What is still to come, and the seconds of load by which nine in ten such courses have come within a degree. */
  remainderC: number | null;
  settlesAtS: number | null;
  /** The time constant of what is still to come: the median of what the readings leave open. */
  slowS: number | null;
  /** The mean clock of a run that was held back. */
  heldBackMhz: number | null;
  rise: Interval | null;
  resistance: Interval | null;
  powerW: number | null;
  peakC: number | null;
  stepC: number;
  throttled: readonly Span[];
  gaps: readonly Span[];
  notes: readonly string[];
}>;

/** What the interface says of a heat run; times in seconds from the first row, `levelledAtS` from the load start. */
export type HeatAnswer = Readonly<{
  ambientC: number | null;
  loadStartS: number | null;
  levelledAtS: number | null;
  level: HeatLevel | null;
  final: Readonly<{ c: number; lowC: number; highC: number }> | null;
  timeConstantsS: readonly number[];
  riseC: number | null;
  resistanceCPerW: number | null;
  throttled: readonly Span[];
  gaps: readonly Span[];
  notes: readonly string[];
}>;

export const heatAnswerOf = (run: HeatRun): HeatAnswer => ({
  ambientC: run.ambientC,
  loadStartS: run.load?.fromS ?? null,
  levelledAtS: run.levelledAtS,
  level: run.level,
  final: run.final,
  timeConstantsS: run.fit?.parts.map((part) => part.timeConstant) ?? [],
  riseC: run.rise?.mid ?? null,
  resistanceCPerW: run.resistance?.mid ?? null,
  throttled: run.throttled,
  gaps: run.gaps,
  notes: run.notes,
});
