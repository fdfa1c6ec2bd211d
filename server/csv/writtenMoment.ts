import { hourOfDay } from "./halfDay.ts";
import { fromWall, isZone } from "./momentCell.ts";

/** Which part of a date comes first. */
export type DateOrder = "ymd" | "dmy" | "mdy";
export const dateOrders: readonly DateOrder[] = ["ymd", "dmy", "mdy"];

/** Seconds since 1970; `zoned` is false where no zone is written and the clock is a local one. */
export type WrittenMoment = Readonly<{ seconds: number; zoned: boolean }>;

const months = "jan feb mar apr may jun jul aug sep oct nov dec".split(" ");
const clock = /(\d{1,2}):(\d{2})(?::(\d{2})(?:[.,](\d{1,9}))?)?\s*([AaPp]\.?[Mm]\.?)?/;
const weekday = /\b(?:mon|tue|wed|thu|fri|sat|sun)[a-z]*\.?,?\s+/i;

/** Zone names that mean one offset wherever they are used (from memory; names with several meanings are left out). */
const zoneHours: Readonly<Record<string, number>> = {
  ...{ Z: 0, UTC: 0, GMT: 0, UT: 0, WET: 0, WEST: 1, CET: 1, CEST: 2, MEZ: 1, MESZ: 2, EET: 2, EEST: 3 },
  ...{ EST: -5, EDT: -4, CDT: -5, MST: -7, MDT: -6, PST: -8, PDT: -7, JST: 9 },
};

type Parts = Readonly<{ day: string; clock: RegExpExecArray; rest: string }>;

/** A cell cut into its date, its clock and what tells the zone; undefined where it has no clock after a date. */
function partsOf(cell: string): Parts | undefined {
  const text = cell.trim().replace(weekday, "");
  const found = clock.exec(text);
  if (found === null || found.index < 5) return undefined;
  const day = text.slice(0, found.index).replace(/[T,\s]+$/, "");
  return { day, clock: found, rest: text.slice(found.index + found[0].length).trim() };
}

/** The orders in which a cell's date can be read; none where it is no date and clock. */
export function ordersOf(cell: string): readonly DateOrder[] {
  const parts = partsOf(cell);
  if (parts !== undefined && namedDay(parts.day, parts.rest) !== undefined) return ["dmy"];
  return parts === undefined ? [] : dateOrders.filter((order) => dayIn(parts, order) !== undefined);
}

/** The orders in which every cell can be read. */
export function ordersOfAll(cells: readonly string[]): readonly DateOrder[] {
  return cells.reduce<readonly DateOrder[]>((left, cell) => {
    const here = ordersOf(cell);
    return here.length === 0 ? left : left.filter((order) => here.includes(order));
  }, dateOrders);
}

/** The moment in a cell, its date read in an order; undefined where there is none. */
export function writtenMoment(cell: string, order: DateOrder): WrittenMoment | undefined {
  const parts = partsOf(cell);
  const day = parts && dayIn(parts, order);
  const seconds = parts && clockIn(parts.clock);
  if (parts === undefined || day === undefined || seconds === undefined) return undefined;
  const wall = day / 1000 + seconds;
  const zone = parts.rest.replace(/\b\d{4}\b(?!:)$/, (year) => (isYearLast(parts.day) ? "" : year)).trim();
  return placed(wall, zone);
}

function clockIn([, hours = "", minutes = "", seconds = "0", fraction = "0", half]: RegExpExecArray) {
  const hour = hourOfDay(hours, half);
  if (hour === undefined || hour > 24 || Number(minutes) > 59 || Number(seconds) > 60) return undefined;
  return hour * 3600 + Number(minutes) * 60 + Number(`${seconds}.${fraction}`);
}

function placed(wall: number, zone: string): WrittenMoment | undefined {
  if (zone === "") return { seconds: wall, zoned: false };
  const [, sign, hours = "0", minutes = "0"] = /^(?:UTC|GMT)?\s*([+-−])(\d{2}):?(\d{2})?$/.exec(zone) ?? [];
  if (sign !== undefined) {
    const offset = Number(hours) * 3600 + Number(minutes) * 60;
    return { seconds: sign === "+" ? wall - offset : wall + offset, zoned: true };
  }
  const named = zoneHours[zone.toUpperCase()];
  if (named !== undefined) return { seconds: wall - named * 3600, zoned: true };
  const place = zone.replace(/^\[|\]$/g, "");
  if (/^[A-Za-z]+\/[A-Za-z_/+-]+$/.test(place) && isZone(place))
    return { seconds: fromWall(wall * 1000, place) / 1000, zoned: true };
  return /^[A-Z]{2,5}$/i.test(zone) ? { seconds: wall, zoned: false } : undefined;
}

/** As in "Nov 28 21:33:31 UTC 2026": the year stands behind the clock. */
const isYearLast = (day: string): boolean => /^[a-z]{3,9}\.?\s+\d{1,2}$/i.test(day);

/** Midnight of a date in milliseconds since 1970; undefined where it does not exist in that order. */
function dayIn({ day, rest }: Parts, order: DateOrder): number | undefined {
  const named = namedDay(day, rest);
  if (named !== undefined) return named;
  const found = /^(\d{1,4})([-/.])(\d{1,2})\2(\d{1,4})\.?$/.exec(day);
  if (found === null) return undefined;
  const [, a = "", sign = "", b = "", c = ""] = found;
  if (a.length > 2) return order === "ymd" ? midnight(a, b, c) : undefined;
  // A point stands between day, month and year in that order (common practice).
  if (sign === "." && order !== "dmy") return undefined;
  if (order === "ymd") return c.length === 2 ? midnight(a, b, c) : undefined;
  return order === "dmy" ? midnight(c, b, a) : midnight(c, a, b);
}

function namedDay(day: string, rest: string): number | undefined {
  const dayFirst = /^(\d{1,2})[-. ]+([a-z]{3,9})\.?[-, ]+(\d{2}|\d{4})$/i.exec(day);
  if (dayFirst) return midnight(dayFirst[3] ?? "", monthNamed(dayFirst[2]), dayFirst[1] ?? "");
  const monthFirst = /^([a-z]{3,9})\.?\s+(\d{1,2})(?:,?\s+(\d{4}))?$/i.exec(day);
  const year = monthFirst?.[3] ?? /\b(\d{4})$/.exec(rest)?.[1];
  return monthFirst && year !== undefined
    ? midnight(year, monthNamed(monthFirst[1]), monthFirst[2] ?? "")
    : undefined;
}

const monthNamed = (word = ""): string => String(months.indexOf(word.slice(0, 3).toLowerCase()) + 1);

function midnight(year: string, month: string, day: string): number | undefined {
  const full = year.length === 2 ? 2000 + Number(year) : Number(year);
  const at = new Date(Date.UTC(full, Number(month) - 1, Number(day)));
  const exists =
    at.getUTCMonth() === Number(month) - 1 && at.getUTCDate() === Number(day) && Number(month) >= 1;
  return exists && year.length !== 1 && year.length !== 3 ? at.getTime() : undefined;
}
