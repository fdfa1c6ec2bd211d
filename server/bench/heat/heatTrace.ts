/** The channels of a trace that speak of heat, row by row; NaN where a reading is missing. */
export type HeatTrace = Readonly<{
  /** Seconds from the first row, never falling. */
  t: ArrayLike<number>;
  temperature: ArrayLike<number>;
  ambient?: ArrayLike<number> | undefined;
  power?: ArrayLike<number> | undefined;
  clock?: ArrayLike<number> | undefined;
  load?: ArrayLike<number> | undefined;
  throttle?: ArrayLike<number> | undefined;
  fan?: ArrayLike<number> | undefined;
}>;

/** Readings that are there, with their times. */
export type TimedValues = Readonly<{ t: Float64Array; values: Float64Array }>;

/** A sensor that fails reads 0 or far outside what a bench can have (common practice). */
const possibleC = (value: number): boolean => value > -100 && value < 200;
const leapC = 6;

/** The temperature without missing, impossible and single stray readings. */
export function soundTemperatures(trace: HeatTrace): TimedValues {
  const there = readingsOf(trace.t, trace.temperature, possibleC);
  return picked(
    there.t,
    there.values,
    (value, at) => Math.abs(value - nearbyMedian(there.values, at)) < leapC,
  );
}

/** The readings of a channel that are there. */
export function readingsOf(
  t: ArrayLike<number>,
  values: ArrayLike<number>,
  isSound: (value: number) => boolean = () => true,
): TimedValues {
  return picked(t, values, (value) => Number.isFinite(value) && isSound(value));
}

function picked(
  t: ArrayLike<number>,
  values: ArrayLike<number>,
  isKept: (value: number, at: number) => boolean,
): TimedValues {
  const kept = { t: new Float64Array(t.length), values: new Float64Array(t.length) };
  let count = 0;
  for (let i = 0; i < t.length; i += 1) {
    const value = values[i] as number;
    if (!isKept(value, i)) continue;
    kept.t[count] = t[i] as number;
    kept.values[count] = value;
    count += 1;
  }
  return { t: kept.t.subarray(0, count), values: kept.values.subarray(0, count) };
}

/** The median of a reading and the four on either side; the reading itself where it lies close to both neighbours. */
function nearbyMedian(values: Float64Array, at: number): number {
  const value = values[at] as number;
  const close = (other: number | undefined): boolean =>
    other !== undefined && Math.abs(other - value) < leapC / 3;
  if (close(values[at - 1]) && close(values[at + 1])) return value;
  const near = [...values.subarray(Math.max(0, at - 4), at + 5)].sort((a, b) => a - b);
  return near[near.length >> 1] as number;
}

/** The readings between two times. */
export function between({ t, values }: TimedValues, fromS: number, toS: number): TimedValues {
  const from = firstAtOrAfter(t, fromS);
  let to = Math.max(from, firstAtOrAfter(t, toS));
  while (to < t.length && (t[to] as number) <= toS) to += 1;
  return { t: t.subarray(from, to), values: values.subarray(from, to) };
}

/** How many readings between two times are there and wanted, and their mean; nothing is copied, for a trace is long. */
export function meanBetween(
  t: ArrayLike<number>,
  values: ArrayLike<number>,
  { fromS, toS }: Readonly<{ fromS: number; toS: number }>,
  isWanted: (value: number, row: number) => boolean = () => true,
): Readonly<{ count: number; mean: number | undefined }> {
  let [count, sum] = [0, 0];
  for (let row = firstAtOrAfter(t, fromS); row < t.length && (t[row] as number) <= toS; row += 1) {
    const value = values[row] as number;
    if (!Number.isFinite(value) || !isWanted(value, row)) continue;
    count += 1;
    sum += value;
  }
  return { count, mean: count === 0 ? undefined : sum / count };
}

export function firstAtOrAfter(t: ArrayLike<number>, seconds: number): number {
  let low = 0;
  let high = t.length;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if ((t[middle] as number) < seconds) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** Means over spans of so many seconds, at the mean time of each. */
export function meansOver({ t, values }: TimedValues, spanS: number): TimedValues {
  const times: number[] = [];
  const means: number[] = [];
  let at = 0;
  while (at < t.length) {
    const end = (t[at] as number) + spanS;
    let count = 0;
    let sumT = 0;
    let sum = 0;
    for (; at < t.length && (t[at] as number) < end; at += 1) {
      sumT += t[at] as number;
      sum += values[at] as number;
      count += 1;
    }
    times.push(sumT / count);
    means.push(sum / count);
  }
  return { t: Float64Array.from(times), values: Float64Array.from(means) };
}

export const meanOf = (values: ArrayLike<number>): number | undefined => {
  if (values.length === 0) return undefined;
  let sum = 0;
  for (let i = 0; i < values.length; i += 1) sum += values[i] as number;
  return sum / values.length;
};

/** The value below which a share of the values lies. */
export function shareOf(values: ArrayLike<number>, share: number): number | undefined {
  if (values.length === 0) return undefined;
  const sorted = Float64Array.from(values).sort();
  return sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))];
}

const mostSteps = 4000;

/** The step a sensor's readings are rounded to: the least distance between different readings; 0 where they are not rounded. */
export function stepOf(values: ArrayLike<number>): number {
  const found = new Set<number>();
  for (let i = 0; i < values.length && i < 50_000 && found.size <= mostSteps; i += 1)
    found.add(values[i] as number);
  if (found.size < 2 || found.size > mostSteps) return 0;
  const different = Float64Array.from(found).sort();
  let least = Number.POSITIVE_INFINITY;
  for (let i = 1; i < different.length; i += 1)
    least = Math.min(least, (different[i] as number) - (different[i - 1] as number));
  return least < 1e-3 ? 0 : Math.round(least * 1e4) / 1e4;
}

/** The usual time between two rows. */
export function usualSpacing(t: ArrayLike<number>): number {
  const spacings = new Float64Array(Math.max(0, t.length - 1));
  for (let i = 1; i < t.length; i += 1) spacings[i - 1] = (t[i] as number) - (t[i - 1] as number);
  return shareOf(spacings, 0.5) ?? 1;
}
