import { hourOfDay } from "./halfDay.ts";

/** How the time of a log is written. */
export type TimeWriting = "number" | "clock" | "minutes" | "instant" | "date";

const clock = /(?:^|[\sT])(\d{1,4}):(\d{2})(?::(\d{2})(?:[.,:](\d{1,9}))?)?\s*(am|pm)?$/i;

/** Seconds of a clock time such as 13:04:05.250 or 1:04 pm, a date before it left aside; undefined where it is none. */
export function clockSeconds(cell: string): number | undefined {
  const found = clock.exec(cell.trim());
  if (found === null) return undefined;
  const [, hours = "", minutes = "", seconds = "0", fraction = "0", half] = found;
  const hour = hourOfDay(hours, half);
  if (hour === undefined || Number(minutes) > 59 || Number(seconds) > 60) return undefined;
  return hour * 3600 + Number(minutes) * 60 + Number(`${seconds}.${fraction}`);
}

const twoParts = /^\s*(\d{1,4}):(\d{2})\s*$/;

/** Seconds of a time since the start such as 7:30 or, past the hour, 1:07:30; undefined where it is none. */
export function minuteSeconds(cell: string): number | undefined {
  const [, minutes, seconds] = twoParts.exec(cell) ?? [];
  if (minutes === undefined) return clockSeconds(cell);
  return Number(seconds) > 59 ? undefined : 60 * Number(minutes) + Number(seconds);
}

/** What the two parts of short clocks are: told by a column's name or by parts no day has, `open` where both may be meant. */
export type ShortClock = "m:s" | "h:m" | "open";

/** Undefined where not all cells are two parts with a colon between. A clock seen twice running is one of the day. */
export function shortClockOf(name: string, cells: readonly string[]): ShortClock | undefined {
  const firsts = cells.map((cell) => twoParts.exec(cell)?.[1]);
  if (firsts.length < 2 || firsts.includes(undefined)) return undefined;
  if (/elapsed|duration|run ?time|since|laufzeit|dauer|\bmm?:ss/i.test(name)) return "m:s";
  if (firsts.some((first) => Number(first) > 23)) return "m:s";
  const isRepeated = cells.some((cell, at) => at > 0 && cell.trim() === cells[at - 1]?.trim());
  return isRepeated || /\bhh?:mm/i.test(name) ? "h:m" : "open";
}

const instant =
  /^(\d{4})-?(\d{2})-?(\d{2})[T\s](\d{2}):?(\d{2})(?::?(\d{2})(?:[.,](\d{1,9}))?)?\s*(Z|UTC|GMT|[+-]\d{2}(?::?\d{2})?)?$/i;

/** Seconds since 1970 of a date and time by ISO 8601; without an offset it is read as a local clock. */
export function instantSeconds(cell: string): { seconds: number; zoned: boolean } | undefined {
  const found = instant.exec(cell.trim());
  if (found === null) return undefined;
  const [, year, month, day, hour, minute, second = "0", fraction = "0", zone] = found;
  const whole = Date.UTC(Number(year), Number(month) - 1, Number(day), Number(hour), Number(minute));
  if (!isDay(Number(year), Number(month), Number(day))) return undefined;
  if (Number(hour) > 24 || Number(minute) > 59 || Number(second) > 60) return undefined;
  const seconds = whole / 1000 + Number(`${second}.${fraction}`) - offsetSeconds(zone);
  return { seconds, zoned: zone !== undefined };
}

/** Whether the calendar has it: the 31st of June is none. */
export function isDay(year: number, month: number, day: number): boolean {
  const at = new Date(Date.UTC(year, month - 1, day));
  return month >= 1 && at.getUTCMonth() === month - 1 && at.getUTCDate() === day;
}

function offsetSeconds(zone: string | undefined): number {
  if (zone === undefined || /^[a-z]/i.test(zone)) return 0;
  const [, sign, hours, minutes = "0"] = /^([+-])(\d{2}):?(\d{2})?$/.exec(zone) ?? [];
  return (sign === "-" ? -1 : 1) * (Number(hours) * 3600 + Number(minutes) * 60);
}

const day = 86_400;
const hour = 3_600;

export type TimePlaced =
  | Readonly<{ t: number; adjusted: string | null }>
  | Readonly<{ t: undefined; because: string }>;

/**
 * Lays the times of a log on one line that starts at 0 and never runs back: a clock that jumps over midnight or
 * daylight saving is straightened, a single stray time refused, a time that starts over carried on.
 */
export class Timeline {
  private readonly wraps: boolean;
  private origin: number | undefined;
  private shift = 0;
  private last = 0;
  private lastWritten = 0;
  private usualStep = 1;
  private stray: number | undefined;

  constructor(wraps: boolean) {
    this.wraps = wraps;
  }

  /** The seconds at which the line starts, as they were written. */
  get start(): number | undefined {
    return this.origin;
  }

  /** The plain case without an object for each row: the place on the line, or NaN where `place` must decide. */
  plain(written: number): number {
    if (this.origin === undefined) return Number.NaN;
    const t = Math.round((written + this.shift - this.origin) * 1e6) / 1e6;
    const step = t - this.last;
    if (!(step >= 0 && step < hour)) return Number.NaN;
    return this.keep(t, written, step);
  }

  place(written: number): TimePlaced {
    if (!Number.isFinite(written)) return { t: undefined, because: "Its time cannot be read." };
    if (this.origin === undefined) {
      this.origin = written;
      this.lastWritten = written;
      return { t: 0, adjusted: null };
    }
    const step = written + this.shift - this.origin - this.last;
    if (this.wraps) {
      const jump = this.clockJump(step, written);
      if (jump !== undefined) return this.shifted(jump.by, written, jump.because);
    }
    if (step >= 0) return this.shifted(0, written, null);
    return this.backward(step, written);
  }

  /** A clock of the day runs back over midnight; a local clock moves by an hour twice a year. */
  private clockJump(step: number, written: number): { by: number; because: string } | undefined {
    const usual = Math.max(120, 3 * this.usualStep);
    if (step < -day / 2 && step > -day - usual) return { by: day, because: "The clock passed midnight." };
    if (step < 0 && step + hour > 0 && step + hour <= usual)
      return { by: hour, because: "The clock went back by an hour, as at the end of daylight saving." };
    const late = step - hour;
    const springs = late > 0 && late <= 3 * this.usualStep && this.usualStep < 600;
    const night = Math.floor(this.lastWritten / hour) % 24 <= 3;
    if (springs && night && written % hour < late + 1e-6)
      return { by: -hour, because: "The clock went forward by an hour, as at the start of daylight saving." };
    return undefined;
  }

  /** A small step back is refused; a large one only once, for a second row that agrees means that the time started over. */
  private backward(step: number, written: number): TimePlaced {
    const large = step < -Math.max(5, 10 * this.usualStep);
    if (large && this.stray !== undefined && written >= this.stray) {
      return this.shifted(this.usualStep - step, written, "The time starts over here; it was carried on.");
    }
    if (large) this.stray = written;
    return { t: undefined, because: "Its time lies before that of the line above." };
  }

  private shifted(by: number, written: number, adjusted: string | null): TimePlaced {
    this.shift += by;
    const t = Math.round((written + this.shift - (this.origin ?? 0)) * 1e6) / 1e6;
    return { t: this.keep(t, written, t - this.last), adjusted };
  }

  private keep(t: number, written: number, step: number): number {
    if (step > 0) this.usualStep += (Math.min(step, 4 * this.usualStep) - this.usualStep) * 0.1;
    this.last = t;
    this.lastWritten = written;
    this.stray = undefined;
    return t;
  }
}
