import { sidedDigits } from "../comparison/verdict.ts";

/** What stands in a table where nothing is known. */
export const unknownFigure = "–";

const minus = "−";

export const figure = (value: number | null | undefined, decimals: number): string => {
  if (value === null || value === undefined || !Number.isFinite(value)) return unknownFigure;
  const fixed = Math.abs(value).toFixed(decimals);
  return value < 0 && /[1-9]/.test(fixed) ? `${minus}${fixed}` : fixed;
};

export const signedFigure = (value: number | null | undefined, decimals: number): string => {
  const written = figure(value, decimals);
  return typeof value === "number" && value > 0 && /[1-9]/.test(written) ? `+${written}` : written;
};

/** Both ends, or the one that is known; nothing where neither is. No end is rounded to zero. */
export function intervalFigure(low: number | null, high: number | null, digits: number): string {
  const decimals = sidedDigits(digits, low, high);
  if (low === null && high === null) return unknownFigure;
  if (low === null) return `at most ${figure(high, decimals)}`;
  return high === null
    ? `at least ${figure(low, decimals)}`
    : `${figure(low, decimals)} to ${figure(high, decimals)}`;
}

/** A clock without idle zeros. */
export const clockFigure = (mhz: number | null): string =>
  mhz === null ? unknownFigure : `${Number(mhz.toFixed(3))}`;

export const minutesFigure = (seconds: number | null): string =>
  seconds === null ? unknownFigure : (seconds / 60).toFixed(seconds < 600 ? 1 : 0);

export const counted = (count: number, one: string, many = `${one}s`): string =>
  `${count} ${count === 1 ? one : many}`;

/** a, b and c */
export const inWords = (items: readonly string[]): string =>
  items.length < 2 ? (items[0] ?? "") : `${items.slice(0, -1).join(", ")} and ${items.at(-1)}`;
