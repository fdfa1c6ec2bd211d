import type { DecimalSign } from "./logNumber.ts";
import { isDay, type TimeWriting } from "./logTime.ts";

const lineEnd = 10;
const carriageReturn = 13;
const space = 32;
const quote = 34;
const minus = 45;
const zero = 48;
const nine = 57;
const digitsExact = 15;
const digitsInInteger = 9;

/** Ten to the powers that a double holds exactly. */
const powers = Float64Array.from({ length: digitsExact + 1 }, (_, exponent) => 10 ** exponent);

export const leftOut = -1;
export const timeSlot = -2;

export type ScanLayout = Readonly<{
  separator: string;
  decimal: DecimalSign;
  timeWriting: TimeWriting;
  /** For each column of the line: the index of the array it goes to, `leftOut` or `timeSlot`. */
  slots: Int32Array;
}>;

export type LineScanner = Readonly<{
  /** Reads the line at `start` into row `row`; gives where the next one starts, or -1 where the line is not plain. */
  scan(bytes: Uint8Array, start: number, row: number): number;
  /** The time of the line last read, as written, in the unit it was written in. */
  written(): number;
}>;

/**
 * A reader of plain lines, byte by byte: numbers of at most 15 digits without quotes, exponents or words, and times
 * written 13:04:05.250 or 2031-05-04T13:04:05.250Z. Every line it reads gives what the tolerant reader would give; every
 * other line is left to that one. A line must end with a line end, which bounds every loop.
 */
export function lineScanner(
  layout: ScanLayout,
  columns: readonly Float64Array[],
  decimals: Uint8Array,
): LineScanner {
  const separatorByte = layout.separator.charCodeAt(0);
  const decimalByte = layout.decimal === layout.separator ? -1 : layout.decimal.charCodeAt(0);
  const isWords = layout.timeWriting === "date" || layout.timeWriting === "minutes";
  const times = isWords ? neverPlain : timeScanner(layout.timeWriting);
  let time = Number.NaN;

  function scan(bytes: Uint8Array, start: number, row: number): number {
    const { slots } = layout;
    const separator = separatorByte;
    const decimal = decimalByte;
    const width = slots.length;
    let at = start;
    for (let column = 0; column < width; column += 1) {
      const slot = slots[column] as number;
      let byte = bytes[at++] as number;
      if (slot === leftOut) {
        while (byte !== separator && byte !== lineEnd && byte !== quote) byte = bytes[at++] as number;
      } else if (slot === timeSlot && times !== undefined) {
        at = times.scan(bytes, at - 1);
        if (at < 0) return -1;
        time = times.seconds();
        byte = bytes[at++] as number;
      } else {
        while (byte === space) byte = bytes[at++] as number;
        const negative = byte === minus;
        if (negative) byte = bytes[at++] as number;
        let value = 0;
        let fraction = 0;
        const first = at;
        while (byte >= zero && byte <= nine) {
          value = (Math.imul(value, 10) + byte - zero) | 0;
          byte = bytes[at++] as number;
        }
        let digits = at - first;
        if (byte === decimal) {
          const point = at;
          byte = bytes[at++] as number;
          while (byte >= zero && byte <= nine) {
            value = (Math.imul(value, 10) + byte - zero) | 0;
            byte = bytes[at++] as number;
          }
          fraction = at - 1 - point;
          digits += fraction;
          if (digits === 0) return -1;
        }
        while (byte === space) byte = bytes[at++] as number;
        if (digits > digitsExact || (digits === 0 && negative)) return -1;
        const whole = digits > digitsInInteger ? wideMantissa(bytes, first - 1, digits, fraction) : value;
        const size = fraction > 0 ? whole / (powers[fraction] as number) : whole;
        const read = digits === 0 ? Number.NaN : negative ? 0 - size : size;
        if (slot === timeSlot) time = read;
        else {
          (columns[slot] as Float64Array)[row] = read;
          if (fraction > (decimals[slot] as number)) decimals[slot] = fraction;
        }
      }
      if (byte === carriageReturn) byte = bytes[at++] as number;
      if (byte !== (column === width - 1 ? lineEnd : separator)) return -1;
    }
    return at;
  }

  return { scan, written: () => time };
}

/** The digits of a long number read as a double; the point among them is stepped over. */
function wideMantissa(bytes: Uint8Array, first: number, digits: number, fraction: number): number {
  let value = 0;
  const end = first + digits + (fraction > 0 ? 1 : 0);
  for (let at = first; at < end; at += 1) {
    const byte = bytes[at] as number;
    if (byte >= zero && byte <= nine) value = value * 10 + (byte - zero);
  }
  return value;
}

type TimeScanner = Readonly<{
  /** Gives where the cell ends, or -1 where it is not plain. */
  scan(bytes: Uint8Array, start: number): number;
  seconds(): number;
}>;

/** Dates in other orders are left to the tolerant reader. */
const neverPlain: TimeScanner = { scan: () => -1, seconds: () => Number.NaN };

const colon = 58;
const dash = 45;
const point = 46;
const upperT = 84;
const upperZ = 90;

function timeScanner(writing: TimeWriting): TimeScanner | undefined {
  if (writing === "number") return undefined;
  let seconds = 0;
  let dayKey = -1;
  let dayStart = 0;
  const pair = (bytes: Uint8Array, at: number): number => {
    const tens = (bytes[at] as number) - zero;
    const ones = (bytes[at + 1] as number) - zero;
    return tens >= 0 && tens <= 9 && ones >= 0 && ones <= 9 ? tens * 10 + ones : -1;
  };

  function clock(bytes: Uint8Array, start: number, base: number): number {
    const hours = pair(bytes, start);
    const minutes = pair(bytes, start + 3);
    const whole = pair(bytes, start + 6);
    if (hours < 0 || minutes < 0 || whole < 0 || minutes > 59 || whole > 60) return -1;
    if (bytes[start + 2] !== colon || bytes[start + 5] !== colon) return -1;
    let at = start + 8;
    let value = whole;
    if (bytes[at] === point) {
      at += 1;
      const first = at;
      while ((bytes[at] as number) >= zero && (bytes[at] as number) <= nine) {
        value = value * 10 + (bytes[at] as number) - zero;
        at += 1;
      }
      if (at === first || at - first > 9) return -1;
      value /= powers[at - first] as number;
    }
    seconds = base + hours * 3600 + minutes * 60 + value;
    return at;
  }

  function instant(bytes: Uint8Array, start: number): number {
    const century = pair(bytes, start);
    const year = pair(bytes, start + 2);
    const month = pair(bytes, start + 5);
    const day = pair(bytes, start + 8);
    if (century < 0 || year < 0 || month < 0 || day < 0) return -1;
    if (bytes[start + 4] !== dash || bytes[start + 7] !== dash) return -1;
    const between = bytes[start + 10];
    if ((between !== space && between !== upperT) || pair(bytes, start + 11) > 24) return -1;
    const key = ((century * 100 + year) * 13 + month) * 32 + day;
    if (key !== dayKey) {
      if (!isDay(century * 100 + year, month, day)) return -1;
      dayKey = key;
      dayStart = Date.UTC(century * 100 + year, month - 1, day) / 1000;
    }
    const end = clock(bytes, start + 11, dayStart);
    return end >= 0 && bytes[end] === upperZ ? end + 1 : end;
  }

  return {
    scan: (bytes, start) => (writing === "clock" ? clock(bytes, start, 0) : instant(bytes, start)),
    seconds: () => seconds,
  };
}
