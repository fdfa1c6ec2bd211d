import type { HeatRun } from "./heatReading.ts";
import { type HeatTrace, meanBetween, soundTemperatures } from "./heatTrace.ts";
import { type ClockColumn, clockAgreed, type LoadedClock, loadedClocksOf } from "./loadedClock.ts";
import { loadSpanOf } from "./loadSpan.ts";
import type { Span } from "./spans.ts";
import { throttledSpans } from "./throttling.ts";

/** What a trace measured of its attempt; null where it has no such channel, or where it cannot be told. */
export type MeasuredFigures = Readonly<{
  loadTempC: number | null;
  peakTempC: number | null;
  ambientC: number | null;
  powerW: number | null;
  loadVoltageMv: number | null;
  effectiveClockMhz: number | null;
  throttled: boolean | null;
}>;

export type TraceFigures = Readonly<{
  measured: MeasuredFigures;
  /** Every clock of the chip under load; where they lie apart, the tester says which one is meant. */
  clocks: readonly LoadedClock[];
  throttledS: number;
}>;

/** The rest of a trace that speaks of the attempt's setting. */
export type SettingColumns = Readonly<{
  voltage?: ArrayLike<number> | undefined;
  /** Read one after the other as they are asked for, once: a trace may have one for each of many cores. */
  clocks: Iterable<ClockColumn>;
}>;

export type SetFor = Readonly<{ setClockMhz: number | null; isIdle: boolean }>;

/** A run that was held back for less than this share of its load ran at what was set. */
const heldBackShare = 0.05;
/** A mean clock this far under the one set is not the one set. */
const slowedBelow = 0.99;

/** What a trace measured of the setting it ran at; `run` where it has a temperature. */
export function traceFiguresOf(
  trace: HeatTrace,
  columns: SettingColumns,
  run: HeatRun | null,
  { setClockMhz, isIdle }: SetFor,
): TraceFigures {
  const loaded = run?.load ?? loadSpanOf(trace, soundTemperatures(trace), null) ?? wholeOf(trace);
  const window = run?.window ?? loaded;
  const over = (values: ArrayLike<number> | undefined, span: Span): number | null =>
    values === undefined ? null : (meanBetween(trace.t, values, span).mean ?? null);
  const clocks = isIdle ? [] : loadedClocksOf(trace.t, columns.clocks, loaded);
  const effectiveClockMhz = clockAgreed(clocks);
  const spans = isIdle ? [] : throttledSpans(trace, loaded, { setClockMhz });
  const throttledS = spans.reduce((sum, { fromS, toS }) => sum + toS - fromS, 0);
  return {
    measured: {
      loadTempC: run?.level?.meanC ?? null,
      peakTempC: run?.peakC ?? null,
      ambientC: trace.ambient === undefined ? null : (run?.ambientC ?? over(trace.ambient, window)),
      powerW: trace.power === undefined ? null : (run?.powerW ?? over(trace.power, window)),
      loadVoltageMv: over(columns.voltage, window),
      effectiveClockMhz,
      throttled: isIdle ? null : heldBack(trace, effectiveClockMhz, setClockMhz, throttledS, loaded),
    },
    clocks,
    throttledS,
  };
}

const wholeOf = ({ t }: HeatTrace): Span => ({ fromS: t[0] ?? 0, toS: t[t.length - 1] ?? 0 });

/** Null where neither a clock nor a throttle channel could tell. */
function heldBack(
  trace: HeatTrace,
  clockMhz: number | null,
  setClockMhz: number | null,
  throttledS: number,
  { fromS, toS }: Span,
): boolean | null {
  if (clockMhz === null && trace.throttle === undefined) return null;
  if (clockMhz !== null && setClockMhz !== null && clockMhz < slowedBelow * setClockMhz) return true;
  return throttledS >= heldBackShare * (toS - fromS) && throttledS > 0;
}

/** How far a typed figure may lie from the measured one and still be the same (common practice; 1 % of the clock by our own rule). */
const sameWithin: Readonly<Record<keyof MeasuredFigures, (measured: number) => number>> = {
  loadTempC: () => Number.POSITIVE_INFINITY,
  peakTempC: () => Number.POSITIVE_INFINITY,
  ambientC: () => 1,
  powerW: (watts) => Math.max(2, 0.03 * watts),
  loadVoltageMv: (mv) => 0.01 * mv,
  effectiveClockMhz: (mhz) => 0.01 * mhz,
  throttled: () => 0,
};

/** Whether what was measured takes the place of what stands there. A temperature that was typed stays: it may be another place's. */
export function takesPlace(
  name: keyof MeasuredFigures,
  measured: number | boolean | null,
  standing: number | boolean | null,
): measured is number | boolean {
  if (measured === null) return false;
  if (standing === null) return true;
  return Math.abs(Number(measured) - Number(standing)) > sameWithin[name](Number(measured));
}
