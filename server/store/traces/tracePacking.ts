import type { Channel } from "../../bench/logs/channel.ts";
import { type Buckets, bucketsInto, emptyBuckets, mergedBuckets } from "../../numerics/buckets.ts";
import { overviewBlob } from "./overviewBlob.ts";
import { packed } from "./traceBlob.ts";

export const rowsPerTraceChunk = 4096;
/** The levels of overview: rows in a bucket. */
export const overviewLevels = [256, 512, 4096] as const;
export type OverviewLevel = (typeof overviewLevels)[number];

/** One channel of a trace, packed. Nothing in it is shared with the packer any more. */
type PackedChannel = Channel &
  Readonly<{
    /** False where no row holds a number. */
    hasReadings: boolean;
    chunks: readonly Buffer[];
    overviews: readonly Readonly<{ level: OverviewLevel; blob: Buffer }>[];
  }>;

/** A whole trace, packed; `time` in seconds from the first row is its first channel. */
export type PackedTrace = Readonly<{
  rows: number;
  fromS: number;
  toS: number;
  channels: readonly PackedChannel[];
}>;

/** Packs a trace chunk by chunk; every chunk but the last has `rowsPerChunk` rows. */
export class TracePacker {
  private readonly channels: readonly ChannelPacker[];
  private rows = 0;
  private fromS = 0;
  private toS = 0;

  constructor(channels: readonly Channel[]) {
    this.channels = [{ channel: "time", unit: "s" }, ...channels].map(
      (channel) => new ChannelPacker(channel),
    );
  }

  add(rows: number, t: Float64Array, columns: readonly Float64Array[], decimals?: Uint8Array): void {
    if (rows === 0) return;
    if (this.rows % rowsPerTraceChunk !== 0 || rows > rowsPerTraceChunk)
      throw new RangeError("Only the last chunk may be short.");
    if (this.rows === 0) this.fromS = t[0] ?? 0;
    this.toS = t[rows - 1] ?? 0;
    this.channels.forEach((packer, at) => {
      const column = at === 0 ? t : columns[at - 1];
      if (column !== undefined) packer.add(column, rows, at === 0 ? 0 : (decimals?.[at - 1] ?? 0));
    });
    this.rows += rows;
  }

  /** What was packed so far, in bytes. */
  get bytes(): number {
    return this.channels.reduce((sum, channel) => sum + channel.bytes, 0);
  }

  finish(): PackedTrace {
    const channels = this.channels.map((channel) => channel.finish(this.rows));
    return { rows: this.rows, fromS: this.fromS, toS: this.toS, channels };
  }
}

const finest = overviewLevels[0];

class ChannelPacker {
  bytes = 0;
  private readonly channel: Channel;
  private readonly chunks: Buffer[] = [];
  private buckets: Buckets = emptyBuckets(64);
  private used = 0;
  private decimals = 0;

  constructor(channel: Channel) {
    this.channel = channel;
  }

  /** The decimals seen by the reader are only a start: a unit that was converted has others. */
  add(values: Float64Array, rows: number, decimals: number): void {
    const { blob, decimals: fit } = packed(values, rows, Math.max(this.decimals, Math.min(decimals, 6)));
    this.decimals = fit;
    this.chunks.push(blob);
    this.bytes += blob.length;
    const more = Math.ceil(rows / finest);
    if (this.used + more > this.buckets.count.length) this.buckets = grown(this.buckets);
    bucketsInto(values, 0, rows, finest, this.buckets, this.used);
    this.used += more;
  }

  finish(rows: number): PackedChannel {
    const narrow = cut(this.buckets, this.used);
    const overviews = overviewLevels.map((level) => ({
      level,
      blob: overviewBlob(level === finest ? narrow : mergedBuckets(narrow, level / finest), rows, level),
    }));
    const hasReadings = narrow.count.some((count) => count > 0);
    return { ...this.channel, hasReadings, chunks: this.chunks, overviews };
  }
}

function grown(buckets: Buckets): Buckets {
  const wider = emptyBuckets(buckets.count.length * 2);
  wider.min.set(buckets.min);
  wider.max.set(buckets.max);
  wider.mean.set(buckets.mean);
  wider.count.set(buckets.count);
  return wider;
}

const cut = (buckets: Buckets, length: number): Buckets => ({
  min: buckets.min.subarray(0, length),
  max: buckets.max.subarray(0, length),
  mean: buckets.mean.subarray(0, length),
  count: buckets.count.subarray(0, length),
});
