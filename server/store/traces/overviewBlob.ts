import type { Buckets } from "../../numerics/buckets.ts";

/**
 * The buckets of one channel at one level as bytes, little-endian: "RBO" and a version; the kind, the decimals, a flag
 * for counts and a spare byte; how many buckets; how many rows a whole one holds; how many the last one holds. Then the
 * means as doubles, the least and the greatest values, as integers of that many decimals or as doubles, and, where values
 * are missing, the counts. Nothing is packed: an overview is read far more often than written.
 */
const magic = 0x4f_42_52;
const version = 1;
const headBytes = 24;
const mostDecimals = 6;

/** Buckets as a blob; `rows` is the length of the channel, `size` the rows of a whole bucket. */
export function overviewBlob(buckets: Buckets, rows: number, size: number): Buffer {
  const length = buckets.count.length;
  const lastRows = length === 0 ? 0 : rows - (length - 1) * size;
  const missing = buckets.count.some((count, at) => count !== (at === length - 1 ? lastRows : size));
  const decimals = missing ? -1 : decimalsOf(buckets);
  const extremeBytes = decimals >= 0 ? 4 : 8;
  const blob = Buffer.from(new ArrayBuffer(headBytes + length * (2 * extremeBytes + 8 + (missing ? 4 : 0))));
  blob.writeUInt32LE(magic | (version << 24), 0);
  blob[4] = decimals >= 0 ? 1 : 2;
  blob[5] = Math.max(0, decimals);
  blob[6] = missing ? 1 : 0;
  blob.writeUInt32LE(length, 8);
  blob.writeUInt32LE(size, 12);
  blob.writeUInt32LE(lastRows, 16);
  const views = viewsOf(blob);
  const power = 10 ** Math.max(0, decimals);
  const scaled = decimals >= 0 ? (value: number) => Math.round(value * power) : (value: number) => value;
  for (let at = 0; at < length; at += 1) {
    views.min[at] = scaled(buckets.min[at] as number);
    views.max[at] = scaled(buckets.max[at] as number);
  }
  views.mean.set(buckets.mean);
  views.count?.set(buckets.count);
  return blob;
}

/** The fewest decimals that give every extreme back exactly as a 32-bit integer; -1 where none do. */
function decimalsOf(buckets: Buckets): number {
  let decimals = 0;
  for (const values of [buckets.min, buckets.max]) {
    for (const value of values) {
      while (decimals <= mostDecimals && !fits(value, 10 ** decimals)) decimals += 1;
      if (decimals > mostDecimals) return -1;
    }
  }
  const power = 10 ** decimals;
  const all = [buckets.min, buckets.max].every((values) => values.every((value) => fits(value, power)));
  return all ? decimals : -1;
}

function fits(value: number, power: number): boolean {
  const mantissa = Math.round(value * power);
  return mantissa / power === value && Math.abs(mantissa) < 2 ** 31;
}

type Views = {
  mean: Float64Array;
  min: Int32Array | Float64Array;
  max: Int32Array | Float64Array;
  count: Uint32Array | undefined;
};

/** The doubles come first, so that every array lies where a typed array may. */
function viewsOf(blob: Buffer): Views {
  const length = blob.readUInt32LE(8);
  const start = blob.byteOffset + headBytes;
  const mean = new Float64Array(blob.buffer, start, length);
  const isDecimal = blob[4] === 1;
  const extremeBytes = isDecimal ? 4 : 8;
  const extremes = (from: number) =>
    isDecimal ? new Int32Array(blob.buffer, from, length) : new Float64Array(blob.buffer, from, length);
  const min = extremes(start + 8 * length);
  const max = extremes(start + (8 + extremeBytes) * length);
  const counts = start + (8 + 2 * extremeBytes) * length;
  return { mean, min, max, count: blob[6] === 1 ? new Uint32Array(blob.buffer, counts, length) : undefined };
}

/** What a chart needs of buckets. */
export type Columns = Omit<Buckets, "count">;

/** The buckets in a blob, or those between two places of it. */
export function bucketsIn(stored: Buffer, from = 0, to = Number.POSITIVE_INFINITY): Buckets {
  const blob = readable(stored);
  const length = blob.readUInt32LE(8);
  const stop = Math.max(from, Math.min(length, to));
  const count = new Uint32Array(stop - from);
  const { count: counts } = viewsOf(blob);
  if (counts !== undefined) count.set(counts.subarray(from, stop));
  else count.fill(blob.readUInt32LE(12));
  if (counts === undefined && stop === length && length > from)
    count[length - 1 - from] = blob.readUInt32LE(16);
  return { ...columnsOf(blob, from, stop), count };
}

/** The same without the counts. */
export function columnsIn(stored: Buffer, from: number, to: number): Columns {
  const blob = readable(stored);
  return columnsOf(blob, from, Math.max(from, Math.min(blob.readUInt32LE(8), to)));
}

/** The least values alone. */
export function leastIn(stored: Buffer, from: number, to: number): Float64Array {
  const blob = readable(stored);
  const part = new Float64Array(Math.max(0, Math.min(blob.readUInt32LE(8), to) - from));
  return scaledInto(part, viewsOf(blob).min, from, powerOf(blob));
}

/** One piece of memory for both extremes: every piece is a call of its own and one more thing to collect. */
function columnsOf(blob: Buffer, from: number, to: number): Columns {
  const length = to - from;
  const memory = new ArrayBuffer(16 * length);
  const [views, power] = [viewsOf(blob), powerOf(blob)];
  return {
    min: scaledInto(new Float64Array(memory, 0, length), views.min, from, power),
    max: scaledInto(new Float64Array(memory, 8 * length, length), views.max, from, power),
    mean: views.mean.subarray(from, to),
  };
}

function readable(stored: Buffer): Buffer {
  if (stored.length < headBytes || (stored.readUInt32LE(0) & 0xffffff) !== magic || stored[3] !== version)
    throw new Error("A stored overview of a trace is not one this program wrote.");
  return stored.byteOffset % 8 === 0 ? stored : Buffer.from(new Uint8Array(stored).buffer);
}

const powerOf = (blob: Buffer): number => 10 ** (blob[5] ?? 0);

/** Copied as a whole and then divided: an array that may be of either kind is slow to read one by one. */
function scaledInto(
  part: Float64Array,
  extremes: Int32Array | Float64Array,
  from: number,
  power: number,
): Float64Array {
  part.set(extremes.subarray(from, from + part.length));
  if (power !== 1) for (let at = 0; at < part.length; at += 1) part[at] = (part[at] as number) / power;
  return part;
}
