import type { Channel } from "../../bench/logs/channel.ts";
import { type Buckets, bucketsInto, emptyBuckets, mergedBuckets } from "../../numerics/buckets.ts";
import { bucketsIn, type Columns, columnsIn, leastIn } from "./overviewBlob.ts";
import { type OverviewLevel, overviewLevels } from "./tracePacking.ts";
import type { KeptChannel, TraceRows, traceReader } from "./traceReading.ts";

/** One channel over a window, reduced to columns that keep every extreme; NaN where a column holds no reading. */
export type TraceSeries = Channel & Readonly<{ min: Float64Array; max: Float64Array; mean: Float64Array }>;
export type TraceWindow = Readonly<{
  /** Seconds from the first row at which each column begins. */
  t: Float64Array;
  series: readonly TraceSeries[];
}>;

export type WindowQuestion = Readonly<{
  channels: readonly string[];
  fromS?: number | undefined;
  toS?: number | undefined;
  /** The most columns. */
  points: number;
}>;

/** The buckets of one level, and where the first of them stands among all. */
type Narrow = Readonly<{ buckets: Buckets; start: number }>;

/** Gives windows of traces, from whichever overview is fine enough. */
export function traceWindows({
  traceOf,
  keptChannels,
  valuesOf,
  overviewAt,
}: ReturnType<typeof traceReader>) {
  function window(attemptId: string, wanted: WindowQuestion): TraceWindow | undefined {
    const found = traceOf(attemptId);
    if (found === undefined) return undefined;
    const channels = keptChannels(found.id);
    const time = channels.find(({ channel }) => channel === "time");
    if (time === undefined) return undefined;
    const from = wanted.fromS === undefined ? 0 : firstRowFrom(time, found.rows, wanted.fromS, false);
    const to = wanted.toS === undefined ? found.rows : firstRowFrom(time, found.rows, wanted.toS, true);
    // Between an end and a later beginning lie no rows.
    const rows = { from, to: Math.max(from, to) };
    const step = stepOf(rows, Math.max(1, Math.floor(wanted.points)));
    const series = channels
      .filter(({ channel }) => wanted.channels.includes(channel))
      .map((channel) => ({
        channel: channel.channel,
        unit: channel.unit,
        ...reduced(channel, rows, step, found.rows),
      }));
    return { t: startsIn(time, rows, step, found.rows), series };
  }

  /** The first row at or after a time, or after it; found in the overview of the time, then in one chunk. */
  function firstRowFrom(time: KeptChannel, rows: number, seconds: number, after: boolean): number {
    const level = overviewLevels[0];
    const starts = leastOf(time, level, 0, Math.ceil(rows / level));
    const isBefore = (t: number): boolean => (after ? t <= seconds : t < seconds);
    const bucket = firstWhere(starts.length, (at) => !isBefore(starts[at] as number)) - 1;
    if (bucket < 0) return 0;
    const from = bucket * level;
    const near = valuesOf(time, { from, to: Math.min(rows, from + level) });
    return from + firstWhere(near.length, (at) => !isBefore(near[at] as number));
  }

  function reduced(channel: KeptChannel, rows: TraceRows, step: number, allRows: number): Columns {
    if (step < overviewLevels[0]) return reducedRows(valuesOf(channel, rows), rows.from, step);
    const level = levelFor(step);
    const whole = level === step ? wholeBuckets(rows, level, allRows) : undefined;
    const kept = whole && overviewAt(channel, level);
    if (whole !== undefined && kept !== undefined) return columnsIn(kept, whole.from, whole.to);
    return joined(narrowBuckets(channel, rows, level, allRows), step / level);
  }

  /** The times at which columns begin. */
  function startsIn(time: KeptChannel, rows: TraceRows, step: number, allRows: number): Float64Array {
    const level = levelFor(step);
    const whole = level === step ? wholeBuckets(rows, level, allRows) : undefined;
    return whole === undefined
      ? reduced(time, rows, step, allRows).min
      : leastOf(time, level, whole.from, whole.to);
  }

  /** The buckets of one level over some rows: whole ones from the overview, the cut ones at either end from the values. */
  function narrowBuckets(
    channel: KeptChannel,
    rows: TraceRows,
    level: OverviewLevel,
    allRows: number,
  ): Narrow {
    const first = Math.ceil(rows.from / level);
    const last = rows.to === allRows ? Math.ceil(rows.to / level) : Math.floor(rows.to / level);
    const start = Math.floor(rows.from / level);
    const end = Math.ceil(rows.to / level);
    if (first === start && last === end && last > first)
      return { buckets: overview(channel, level, first, last), start };
    const buckets = emptyBuckets(end - start);
    if (last > first) placeAt(overview(channel, level, first, last), buckets, first - start);
    const edge = (from: number, to: number, at: number): void => {
      if (to > from) bucketsInto(valuesOf(channel, { from, to }), 0, to - from, level, buckets, at);
    };
    if (first > start) edge(rows.from, Math.min(first * level, rows.to), 0);
    if (end > last && last * level > rows.from) edge(last * level, rows.to, last - start);
    return { buckets, start };
  }

  function overview(channel: KeptChannel, level: OverviewLevel, from: number, to: number): Buckets {
    const kept = overviewAt(channel, level);
    return kept === undefined ? emptyBuckets(to - from) : bucketsIn(kept, from, to);
  }

  /** The least values alone, as the times at which buckets begin. */
  function leastOf(channel: KeptChannel, level: OverviewLevel, from: number, to: number): Float64Array {
    const kept = overviewAt(channel, level);
    return kept === undefined ? emptyBuckets(to - from).min : leastIn(kept, from, to);
  }

  return window;
}

/** The coarsest level that columns of so many rows are made of. */
const levelFor = (step: number): OverviewLevel =>
  overviewLevels.findLast((rowsInBucket) => step % rowsInBucket === 0) ?? overviewLevels[0];

/** The buckets that hold some rows exactly; undefined where one of them is cut. */
function wholeBuckets(rows: TraceRows, level: OverviewLevel, allRows: number): TraceRows | undefined {
  const isWhole = rows.from % level === 0 && (rows.to === allRows || rows.to % level === 0);
  return isWhole && rows.to > rows.from
    ? { from: rows.from / level, to: Math.ceil(rows.to / level) }
    : undefined;
}

function placeAt(source: Buckets, into: Buckets, at: number): void {
  into.min.set(source.min, at);
  into.max.set(source.max, at);
  into.mean.set(source.mean, at);
  into.count.set(source.count, at);
}

/** Rows in a column: as few as the points allow, from 256 on whole multiples of it so that overviews serve. */
function stepOf(rows: TraceRows, points: number): number {
  const finest = overviewLevels[0];
  const columnsAt = (step: number): number => Math.ceil(rows.to / step) - Math.floor(rows.from / step);
  let step = Math.max(1, Math.ceil((rows.to - rows.from) / points));
  if (step >= finest) step = Math.ceil(step / finest) * finest;
  while (columnsAt(step) > points && step > 1) step += step < finest ? 1 : finest;
  return step;
}

/** Columns begin at whole multiples of the step, so that a moved window keeps the columns it shares. */
function reducedRows(values: Float64Array, from: number, step: number): Buckets {
  if (step === 1) return { min: values, max: values, mean: values, count: new Uint32Array(0) };
  const lead = Math.min(values.length, (step - (from % step)) % step);
  const buckets = emptyBuckets((lead > 0 ? 1 : 0) + Math.ceil((values.length - lead) / step));
  if (lead > 0) bucketsInto(values, 0, lead, lead, buckets, 0);
  bucketsInto(values, lead, values.length, step, buckets, lead > 0 ? 1 : 0);
  return buckets;
}

function joined({ buckets, start }: Narrow, factor: number): Buckets {
  return factor === 1 ? buckets : mergedBuckets(buckets, factor, start % factor);
}

/** The first place from 0 on where a test that turns true once holds; `length` where it never does. */
function firstWhere(length: number, holds: (at: number) => boolean): number {
  let low = 0;
  let high = length;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if (holds(middle)) high = middle;
    else low = middle + 1;
  }
  return low;
}
