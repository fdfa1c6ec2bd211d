import { LRUCache } from "lru-cache";
import { hourOfDay } from "./halfDay.ts";

/** How the times of a file are to be read where they leave it open. */
export type MomentReading = Readonly<{
  /** The zone of the clock on the bench, such as Europe/Paris or UTC. */
  zone: string;
  /** Whether 5/4 is the fifth of April. */
  dayFirst: boolean;
}>;

type Day = readonly [year: number, month: number, day: number];
type Clock = readonly [hour: number, minute: number, second: number];

const yearFirst = /^(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})\.?$/;
const yearLast = /^(\d{1,2})[-/.](\d{1,2})[-/.](\d{4}|\d{2})\.?$/;
const named = /^(\d{1,2})\.? ?([a-z]{3,9})\.? (\d{4})$/i;
const clockTime = /^(\d{1,2}):(\d{2})(?::(\d{2})(?:[.,](\d{1,9}))?)?\s*([ap]m)?$/i;
const months = "jan feb mar apr may jun jul aug sep oct nov dec".split(" ");

/** The instant in a cell, ISO 8601 in UTC; null where none can be read from it. */
export function momentIn(cell: string, reading: MomentReading): string | null {
  const text = cell.trim();
  const [, bare = text, offset] =
    /^(.*:\d{2}(?:[.,]\d+)?)\s*(Z|UTC|GMT|[+-]\d{2}(?::?\d{2})?)$/i.exec(text) ?? [];
  const [, dayText = "", clockText = ""] = /^(.*?)(?:(?:\s+|T|,\s*)(\d{1,2}:.*))?$/.exec(bare) ?? [];
  const day = dayIn(dayText.replace(/,$/, "").trim(), reading.dayFirst);
  const clock = clockText === "" ? null : clockIn(clockText);
  if (day === null || clock === null) return null;
  const wall = Date.UTC(day[0], day[1] - 1, day[2], clock[0], clock[1]) + Math.round(clock[2] * 1000);
  const ms = offset === undefined ? fromWall(wall, reading.zone) : wall - offsetMs(offset);
  return Number.isFinite(ms) ? new Date(ms).toISOString() : null;
}

function dayIn(text: string, dayFirst: boolean): Day | null {
  const first = yearFirst.exec(text);
  if (first) return dayOf(Number(first[1]), Number(first[2]), Number(first[3]));
  const words = named.exec(text);
  if (words) return dayOf(Number(words[3]), monthNamed(words[2] ?? ""), Number(words[1]));
  const last = yearLast.exec(text);
  if (!last) return null;
  const [a, b] = [Number(last[1]), Number(last[2])];
  const written = Number(last[3]);
  const year = written < 100 ? 2000 + written : written;
  return (dayFirst ? b > 12 : a <= 12) ? dayOf(year, a, b) : dayOf(year, b, a);
}

const monthNamed = (word: string): number => months.indexOf(word.slice(0, 3).toLowerCase()) + 1;

/** Whether the days of a column come before the months; null where no cell tells. */
export function dayComesFirst(cells: Iterable<string>): boolean | null {
  for (const cell of cells) {
    const [, a, sign, b] = /^\s*(\d{1,2})([-/.])(\d{1,2})[-/.]\d{2,4}/.exec(cell) ?? [];
    if (sign === "." || Number(a) > 12) return true;
    if (Number(b) > 12) return false;
  }
  return null;
}

/** A day that exists; the 31st of June is none. */
function dayOf(year: number, month: number, day: number): Day | null {
  const at = new Date(Date.UTC(year, month - 1, day));
  const exists = at.getUTCMonth() === month - 1 && at.getUTCDate() === day && month >= 1;
  return exists ? [year, month, day] : null;
}

function clockIn(text: string): Clock | null {
  const found = clockTime.exec(text.trim());
  if (!found) return null;
  const [, hours = "", minutes = "", seconds = "0", fraction = "0", half] = found;
  const hour = hourOfDay(hours, half);
  if (hour === undefined || hour > 23 || Number(minutes) > 59 || Number(seconds) > 59) return null;
  return [hour, Number(minutes), Number(`${seconds}.${fraction}`)];
}

function offsetMs(offset: string): number {
  const [, sign, hours = "0", minutes = "0"] = /^([+-])(\d{2}):?(\d{2})?$/.exec(offset) ?? [];
  return (sign === "-" ? -1 : 1) * (Number(hours) * 60 + Number(minutes)) * 60_000;
}

/** The instant at which a wall clock in the zone shows this; in an hour that comes twice, the first. */
export function fromWall(wall: number, zone: string): number {
  const before = wall - zoneOffsetMs(wall - 86_400_000, zone);
  if (before + zoneOffsetMs(before, zone) === wall) return before;
  return wall - zoneOffsetMs(wall + 86_400_000, zone);
}

const clocks = new LRUCache<string, Intl.DateTimeFormat>({ max: 20 });

function clockOf(zone: string): Intl.DateTimeFormat {
  const made =
    clocks.get(zone) ??
    new Intl.DateTimeFormat("en-US", {
      timeZone: zone,
      hourCycle: "h23",
      year: "numeric",
      month: "numeric",
      day: "numeric",
      hour: "numeric",
      minute: "numeric",
      second: "numeric",
    });
  clocks.set(zone, made);
  return made;
}

function zoneOffsetMs(ms: number, zone: string): number {
  if (zone === "UTC") return 0;
  const parts = new Map(
    clockOf(zone)
      .formatToParts(ms)
      .map(({ type, value }) => [type, Number(value)]),
  );
  const part = (name: Intl.DateTimeFormatPartTypes) => parts.get(name) ?? Number.NaN;
  const shown = Date.UTC(
    part("year"),
    part("month") - 1,
    part("day"),
    part("hour"),
    part("minute"),
    part("second"),
  );
  return shown - Math.floor(ms / 1000) * 1000;
}

/** Whether the zone is one whose clock can be read. */
export function isZone(zone: string): boolean {
  try {
    clockOf(zone);
    return true;
  } catch {
    return false;
  }
}
