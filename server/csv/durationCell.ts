import { type DecimalSign, numberIn } from "./logNumber.ts";

const secondsIn: Readonly<Record<string, number>> = { d: 86_400, h: 3600, min: 60, m: 60, s: 1, sec: 1 };
const clock = /^(\d{1,4}):(\d{2})(?::(\d{2}(?:[.,]\d+)?))?$/;
const parts = /^(?:(\d+(?:[.,]\d+)?)\s*(d|h|min|m|sec|s)\s*)+$/;
const part = /(\d+(?:[.,]\d+)?)\s*(d|h|min|m|sec|s)/g;

/**
 * Seconds of a duration: a bare number in `unit`, 1:05:00, 15:00 (hours and minutes where the unit is h, else minutes
 * and seconds), or 1 h 20 min. NaN where it is none of these.
 */
export function durationIn(cell: string, unit: "s" | "min" | "h", decimal: DecimalSign): number {
  const text = cell.trim().toLowerCase();
  const clocked = clock.exec(text);
  if (clocked) return clockedSeconds(clocked, unit);
  if (parts.test(text)) return inParts(text);
  const written = numberIn(text, decimal);
  return unit === "s" ? written : round(written * (secondsIn[unit] ?? 1));
}

function clockedSeconds([, first = "", second = "", third]: readonly string[], unit: string): number {
  const [a, b] = [Number(first), Number(second)];
  if (b > 59) return Number.NaN;
  if (third === undefined) return unit === "h" ? a * 3600 + b * 60 : a * 60 + b;
  const c = Number(third.replace(",", "."));
  return c < 60 ? round(a * 3600 + b * 60 + c) : Number.NaN;
}

function inParts(text: string): number {
  let seconds = 0;
  for (const [, amount = "", unit = ""] of text.matchAll(part))
    seconds += Number(amount.replace(",", ".")) * (secondsIn[unit] ?? Number.NaN);
  return round(seconds);
}

/** Minutes and hours with decimals come out as the milliseconds they mean. */
const round = (seconds: number): number => Math.round(seconds * 1000) / 1000;
