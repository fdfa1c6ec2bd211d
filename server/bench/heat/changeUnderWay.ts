import type { CourseStep } from "../../numerics/stepInCourse.ts";
import { between, type HeatTrace, meanOf, readingsOf, type TimedValues } from "./heatTrace.ts";
import type { Span } from "./spans.ts";

/** What heats, cools or surrounds the chip became another while it ran; seconds from the first row. */
export type CourseChange = Readonly<{ atS: number; what: Changing | null }>;
export type Changing = "fan" | "clock" | "load" | "power" | "room";

/** The first minute and a half belong to the start: fans come up and limits settle. */
const settlingS = 90;
/** So long a stretch on either side must lie at another level, and so long a one must leap. */
const lastingS = 60;
const leapS = 14;
const blurS = 3;
/** Where most of a stretch's own scatter would make the difference, it is none. */
const beyondScatter = 2;

type Watched = Readonly<{
  what: Changing;
  channel: "fan" | "clock" | "load" | "power" | "ambient";
  /** The least change that counts, of a channel that reads so much (common practice). */
  least: (level: number) => number;
  /** How long the change itself may take. */
  blurS: number;
}>;

const watched: readonly Watched[] = [
  { what: "fan", channel: "fan", least: (rpm) => Math.max(30, 0.06 * rpm), blurS },
  { what: "clock", channel: "clock", least: (mhz) => 0.01 * mhz, blurS },
  { what: "load", channel: "load", least: () => 8, blurS },
  { what: "power", channel: "power", least: (watts) => Math.max(2, 0.05 * watts), blurS },
  { what: "room", channel: "ambient", least: () => 0.8, blurS: 30 },
];

/** The first change that a channel shows under load; null where none does. */
export function changeToldBy(trace: HeatTrace, loaded: Span): CourseChange | null {
  const found = watched.flatMap((one): CourseChange[] => {
    const column = trace[one.channel];
    if (column === undefined) return [];
    const atS = stepTime(between(readingsOf(trace.t, column), loaded.fromS + 5, loaded.toS - 1), one, loaded);
    return atS === null ? [] : [{ atS, what: one.what }];
  });
  return found.sort((a, b) => a.atS - b.atS)[0] ?? null;
}

/** When a channel went to another level and stayed there; null where it wanders, ramps or pulses. */
function stepTime(readings: TimedValues, one: Watched, loaded: Span): number | null {
  for (let at = loaded.fromS + settlingS; at <= loaded.toS - leapS; at += 5) {
    const leap = leapAt(readings, at, leapS + one.blurS, one.blurS);
    if (leap === null || Math.abs(leap.change) < one.least(Math.abs(leap.level))) continue;
    const lasting = leapAt(readings, at, lastingS + one.blurS, one.blurS);
    if (lasting === null || Math.abs(lasting.change) < 0.7 * one.least(Math.abs(lasting.level))) continue;
    if (
      Math.sign(lasting.change) === Math.sign(leap.change) &&
      Math.abs(lasting.change) > beyondScatter * lasting.scatter
    )
      return steepest(readings, at, one);
  }
  return null;
}

/** Where the leap is largest, within the next quarter of a minute. */
function steepest(readings: TimedValues, from: number, { blurS: blur }: Watched): number {
  let best = { at: from, change: 0 };
  for (let at = from; at <= from + leapS + blur; at += 1) {
    const change = Math.abs(leapAt(readings, at, leapS, 1)?.change ?? 0);
    if (change > best.change) best = { at, change };
  }
  return best.at;
}

/** The mean after a time less the mean before it, the blur between them left out. */
function leapAt(readings: TimedValues, at: number, reachS: number, blur: number) {
  const before = between(readings, at - reachS, at - blur).values;
  const after = between(readings, at + blur, at + reachS).values;
  const [was, is] = [meanOf(before), meanOf(after)];
  if (was === undefined || is === undefined || before.length < 3 || after.length < 3) return null;
  return {
    change: is - was,
    level: was,
    scatter: Math.hypot(deviationOf(before, was), deviationOf(after, is)),
  };
}

const deviationOf = (values: ArrayLike<number>, mean: number): number => {
  let sum = 0;
  for (let i = 0; i < values.length; i += 1) sum += ((values[i] as number) - mean) ** 2;
  return Math.sqrt(sum / values.length);
};

/** Before any reading, two runs in seven are taken to have been disturbed (our own choice). */
const oddsOfChange = 0.4;
const surely = 1.5;

/** How much likelier than not the readings bend off their course. */
export const oddsOf = (step: CourseStep): number => oddsOfChange * Math.exp(Math.min(step.evidence, 50));

/** A bend that no channel tells of, where the readings themselves are sure of one. */
export const changeSeenIn = (step: CourseStep | undefined, loaded: Span): CourseChange | null =>
  step !== undefined && oddsOf(step) > surely ? { atS: loaded.fromS + step.x, what: null } : null;
