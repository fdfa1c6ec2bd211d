import {
  between,
  firstAtOrAfter,
  type HeatTrace,
  meanOf,
  readingsOf,
  shareOf,
  type TimedValues,
} from "./heatTrace.ts";
import type { Span } from "./spans.ts";

export type LoadSpan = Span &
  Readonly<{ foundFrom: "given" | "power" | "load" | "temperature" | "first row" }>;

/** When the load came on and went off: as given, else seen in power or load, else in the temperature itself. */
export function loadSpanOf(
  trace: HeatTrace,
  sound: TimedValues,
  givenStartS: number | null,
): LoadSpan | undefined {
  if (sound.t.length === 0) return undefined;
  const found = switchedSpan(trace, "power") ?? switchedSpan(trace, "load") ?? warmedSpan(sound);
  if (givenStartS === null) return found;
  const lastS = sound.t[sound.t.length - 1] as number;
  const endS = found !== undefined && found.toS > givenStartS ? found.toS : lastS;
  return { fromS: givenStartS, toS: endS, foundFrom: "given" };
}

/** A channel that leaps when the load comes on: its idle part lies under half of its loaded one. */
function switchedSpan(trace: HeatTrace, channel: "power" | "load"): LoadSpan | undefined {
  const column = trace[channel];
  if (column === undefined) return undefined;
  const { t, values } = readingsOf(trace.t, column);
  if (values.length < 10) return undefined;
  const high = shareOf(values, 0.9) as number;
  const low = shareOf(values, 0.02) as number;
  if (!(high > 0) || low > 0.6 * high) return undefined;
  const middle = (low + high) / 2;
  const isOn = (row: number): boolean => staysAbove(values, row, middle);
  let first = 0;
  while (first < values.length && !isOn(first)) first += 1;
  let last = values.length - 1;
  while (last > first && !((values[last] as number) >= middle)) last -= 1;
  if (first >= values.length) return undefined;
  return { fromS: t[first] as number, toS: t[last] as number, foundFrom: channel };
}

function staysAbove(values: Float64Array, row: number, level: number): boolean {
  if (!((values[row] as number) >= level)) return false;
  const next = values.subarray(row, row + 10);
  return next.filter((value) => value >= level).length >= 0.7 * next.length;
}

const leapS = 10;
const leastLeapC = 3;

/** The temperature leaps within seconds of the load coming on, and falls as fast when it goes off. */
function warmedSpan(sound: TimedValues): LoadSpan | undefined {
  const { t } = sound;
  const firstS = t[0] as number;
  const lastS = t[t.length - 1] as number;
  const leaps = leapsOf(sound);
  const highest = leaps.reduce((most, { leap }) => Math.max(most, leap), 0);
  const scatter = scatterOfCourse(sound.values);
  if (highest < Math.max(leastLeapC, 5 * scatter)) return risesThroughout(sound);
  const steep = leaps.find(({ leap }) => leap >= 0.6 * highest);
  const steepest = steepestFrom(leaps, steep?.at ?? firstS);
  const fromS = startBefore(sound, steepest, scatter);
  return {
    fromS,
    toS: endAfter(sound, leaps, fromS) ?? lastS,
    foundFrom: fromS <= firstS ? "first row" : "temperature",
  };
}

type Leap = Readonly<{ at: number; leap: number }>;

/** By how much the ten seconds after a time are warmer than the ten before. */
function leapsOf(sound: TimedValues): readonly Leap[] {
  const { t } = sound;
  const leaps: Leap[] = [];
  const spacing = Math.max(1, ((t[t.length - 1] as number) - (t[0] as number)) / 5000);
  for (let at = t[0] as number; at <= (t[t.length - 1] as number); at += spacing) {
    const before = meanOf(between(sound, at - leapS, at - 1e-9).values);
    const after = meanOf(between(sound, at, at + leapS).values);
    if (after === undefined) continue;
    leaps.push({ at, leap: before === undefined ? 0 : after - before });
  }
  return leaps;
}

/** The top of the first hill of leaps. */
function steepestFrom(leaps: readonly Leap[], fromS: number): number {
  let best: Leap | undefined;
  for (const leap of leaps) {
    if (leap.at < fromS) continue;
    if (leap.at > fromS + 3 * leapS) break;
    if (best === undefined || leap.leap > best.leap) best = leap;
  }
  return best?.at ?? fromS;
}

/** The last reading before the steepest place that still lies at the level it started from. */
function startBefore(sound: TimedValues, steepest: number, scatter: number): number {
  const { t, values } = sound;
  const before = between(sound, steepest - 60, steepest - 1.5 * leapS).values;
  const base = before.length >= 3 ? shareOf(before, 0.5) : values[0];
  const top = meanOf(between(sound, steepest, steepest + leapS).values) ?? (base as number);
  const bound = (base as number) + Math.max(2 * scatter, 0.12 * (top - (base as number)));
  let at = firstAtOrAfter(t, steepest + leapS);
  at = Math.min(at, t.length - 1);
  while (at > 0 && (values[at] as number) > bound) at -= 1;
  return t[at] as number;
}

function risesThroughout(sound: TimedValues): LoadSpan | undefined {
  const { t, values } = sound;
  const tenth = Math.max(1, Math.floor(values.length / 10));
  const rise = (meanOf(values.subarray(-tenth)) ?? 0) - (meanOf(values.subarray(0, tenth)) ?? 0);
  if (rise < leastLeapC) return undefined;
  return { fromS: t[0] as number, toS: t[t.length - 1] as number, foundFrom: "first row" };
}

/** The first fall of a third of the rise after which the temperature stays low. */
function endAfter(sound: TimedValues, leaps: readonly Leap[], fromS: number): number | undefined {
  const under = between(sound, fromS, Number.POSITIVE_INFINITY).values;
  const high = shareOf(under, 0.8) as number;
  const base = (between(sound, fromS - 5, fromS).values[0] ?? sound.values[0]) as number;
  const rise = high - base;
  const fall = leaps.find(({ at, leap }) => {
    if (at < fromS + 20 || leap > -0.07 * rise || leap > -leastLeapC) return false;
    const after = between(sound, at + leapS, Number.POSITIVE_INFINITY).values;
    return after.length > 0 && (shareOf(after, 0.5) as number) < high - 0.3 * rise;
  });
  if (fall === undefined) return undefined;
  const bound = high - Math.max(leastLeapC / 2, 0.05 * rise);
  let row = firstAtOrAfter(sound.t, fall.at + leapS);
  while (row > 0 && (sound.values[row] as number) < bound) row -= 1;
  return sound.t[row] as number;
}

/** How readings scatter from one to the next, leaps left out. */
export function scatterOfCourse(values: ArrayLike<number>): number {
  const differences = new Float64Array(Math.max(0, values.length - 1));
  for (let i = 1; i < values.length; i += 1)
    differences[i - 1] = ((values[i] as number) - (values[i - 1] as number)) ** 2;
  differences.sort();
  const usual = differences.subarray(0, Math.ceil(0.95 * differences.length));
  return Math.sqrt((meanOf(usual) ?? 0) / 2);
}
