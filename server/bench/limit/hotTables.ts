import { hotMinutes } from "../heat/hotMinutes.ts";

/**
 * Hot minutes of records, kept for steepnesses a quarter of an e-fold apart up to just above the usual, so that a draw of the posterior
 * finds those of its own heat and sharpness by three multiplications.
 */
export type HotTables = Readonly<{ from: Float64Array; more: Float64Array }>;

/** Where a steepness lies: the first of three neighbouring columns, their weights, and the weights of the slope. */
export type HotPlace = Readonly<{
  column: number;
  w0: number;
  w1: number;
  w2: number;
  s0: number;
  s1: number;
  s2: number;
}>;

/** The limit falls by 0.075 % per °C, and the hazard grows e-fold per 0.22 % of clock: the middles of what the fit assumes. */
export const usualHazardPerC = 0.00075 / 0.0022;

const apart = 0.25;
const columns = 31;
/** Eight columns lie above the usual, for limits that are known to be sharper. */
const lowest = Math.log(usualHazardPerC) - apart * (columns - 11);

type Timed = Readonly<{ warmUpC: number; failed: boolean; minutesFrom: number; minutesMore: number }>;

export function hotTablesOf(records: readonly Timed[]): HotTables {
  const from = new Float64Array(records.length * columns);
  const more = new Float64Array(records.length * columns);
  const steepnesses = Array.from({ length: columns }, (_, j) => Math.exp(lowest + j * apart));
  records.forEach(({ warmUpC, failed, minutesFrom, minutesMore }, i) => {
    steepnesses.forEach((hazardPerC, j) => {
      const start = hotMinutes(minutesFrom, warmUpC, hazardPerC);
      from[i * columns + j] = start;
      if (failed) more[i * columns + j] = hotMore(start, minutesFrom + minutesMore, warmUpC, hazardPerC);
    });
  });
  return { from, more };
}

/** The hot minutes within a window; a crash that came at once had some, however cold the chip. */
const hotMore = (hotFrom: number, minutesTo: number, warmUpC: number, hazardPerC: number): number =>
  Math.max(hotMinutes(minutesTo, warmUpC, hazardPerC), 0.05 * minutesTo, 1.1 * hotFrom) - hotFrom;

/** A quadratic B-spline over the three nearest columns: smooth, and never below nothing. Beyond the ends nothing changes. */
export function hotPlaceAt(logHazardPerC: number): HotPlace {
  const place = Math.min(Math.max((logHazardPerC - lowest) / apart, 0.5), columns - 1.5 - 1e-9);
  const nearest = Math.floor(place + 0.5);
  const t = place + 0.5 - nearest;
  return {
    column: nearest - 1,
    w0: ((1 - t) * (1 - t)) / 2,
    w1: 0.5 + t - t * t,
    w2: (t * t) / 2,
    s0: (t - 1) / apart,
    s1: (1 - 2 * t) / apart,
    s2: t / apart,
  };
}

export const hotAt = (table: Float64Array, record: number, p: HotPlace): number => {
  const at = record * columns + p.column;
  return p.w0 * table[at]! + p.w1 * table[at + 1]! + p.w2 * table[at + 2]!;
};

/** How the hot minutes grow with the logarithm of the hazard per degree. */
export const hotSlopeAt = (table: Float64Array, record: number, p: HotPlace): number => {
  const at = record * columns + p.column;
  return p.s0 * table[at]! + p.s1 * table[at + 1]! + p.s2 * table[at + 2]!;
};
