import { and, eq, gte } from "drizzle-orm";
import type { Channel } from "../../bench/logs/channel.ts";
import { bucketsInto, emptyBuckets, mergedBuckets } from "../../numerics/buckets.ts";
import { checksumOfChunk } from "../rows/checksums.ts";
import { toMs } from "../rows/columns.ts";
import type { Db } from "../rows/db.ts";
import type { Memory } from "../rows/memory.ts";
import { attempts } from "../rows/schema.ts";
import { bucketsIn, overviewBlob } from "./overviewBlob.ts";
import { packed } from "./traceBlob.ts";
import { overviewLevels, rowsPerChunk } from "./tracePacking.ts";
import type { traceReader } from "./traceReading.ts";
import { traceChannels, traceChunks, traceOverviews, traces } from "./traceSchema.ts";

/** Rows taken while an attempt runs, in seconds from the trace's first row. */
export type LiveSamples = Readonly<{
  channels: readonly Channel[];
  t: readonly number[];
  /** For each channel a value for each time; NaN where it was not read. */
  values: readonly (readonly number[])[];
}>;

const level = overviewLevels[0];

/**
 * Adds live samples to an attempt's trace, begun by the first of them. A time that is there already is left as it is, so
 * that a repeat changes nothing. Only the chunks from the earliest new time on are packed anew.
 */
export function traceAppender(db: Db, reader: ReturnType<typeof traceReader>, attemptMemory: Memory) {
  const append = db.$client.transaction(
    (attemptId: string, samples: LiveSamples, startedAt: string | null, now: string): number => {
      const trace = begun(attemptId, startedAt, now);
      const time = channelFor(trace.id, { channel: "time", unit: "s" });
      const fresh = freshOf(samples, trace.rows, time);
      if (fresh.t.length === 0) return 0;
      const from = Math.floor(fresh.firstRow / rowsPerChunk) * rowsPerChunk;
      const kept = reader.valuesOf(time, { from, to: trace.rows });
      const order = merged(kept, fresh.t);
      rewrite(time, from, order.t);
      const named = new Map(samples.channels.map((channel, at) => [channel.channel, at]));
      for (const channel of samples.channels) channelFor(trace.id, channel);
      for (const channel of reader.keptChannels(trace.id)) {
        if (channel.channel === "time") continue;
        const column = samples.values[named.get(channel.channel) ?? -1];
        const old = reader.valuesOf(channel, { from, to: trace.rows });
        rewrite(
          channel,
          from,
          order.places.map((place) => valueAt(place, old, column, fresh.places)),
        );
      }
      const rows = from + order.t.length;
      const toS = order.t[order.t.length - 1] ?? trace.toS;
      const fromS = from === 0 ? (order.t[0] ?? trace.fromS) : trace.fromS;
      db.update(traces)
        .set({ rows, fromS, toS, keptAt: toMs(now) })
        .where(eq(traces.id, trace.id))
        .run();
      return fresh.t.length;
    },
  );

  function begun(attemptId: string, startedAt: string | null, now: string) {
    const found = db.select().from(traces).where(eq(traces.attemptId, attemptId)).get();
    if (found !== undefined) return found;
    const at = startedAt === null ? null : toMs(startedAt);
    const row = {
      attemptId,
      rows: 0,
      fromS: 0,
      toS: 0,
      startedAt: at,
      source: "live" as const,
      keptAt: toMs(now),
    };
    const id = Number(db.insert(traces).values(row).run().lastInsertRowid);
    attemptMemory.forget();
    db.update(attempts).set({ traced: true }).where(eq(attempts.id, attemptId)).run();
    return { ...row, id };
  }

  function channelFor(traceId: number, channel: Channel) {
    const kept = reader.keptChannels(traceId);
    const found = kept.find((one) => one.channel === channel.channel);
    if (found !== undefined) return found;
    const row = { traceId, place: kept.length, ...channel };
    return { ...channel, id: Number(db.insert(traceChannels).values(row).run().lastInsertRowid) };
  }

  /** The samples whose times are new, in order of time, and the row before which the first of them belongs. */
  function freshOf(samples: LiveSamples, rows: number, time: { id: number } & Channel) {
    const order = [...samples.t.keys()]
      .filter((at) => Number.isFinite(samples.t[at]))
      .sort((a, b) => (samples.t[a] ?? 0) - (samples.t[b] ?? 0));
    const kept = reader.valuesOf(time, { from: 0, to: rows });
    const places: number[] = [];
    const t: number[] = [];
    for (const at of order) {
      const seconds = Math.round((samples.t[at] ?? 0) * 1e6) / 1e6;
      const row = rowAt(kept, seconds);
      if (kept[row] === seconds || t[t.length - 1] === seconds) continue;
      t.push(seconds);
      places.push(at);
    }
    return { t, places, firstRow: t[0] === undefined ? rows : rowAt(kept, t[0]) };
  }

  function rewrite(channel: { id: number }, from: number, values: Float64Array | readonly number[]): void {
    const all = Float64Array.from(values);
    const first = from / rowsPerChunk;
    db.delete(traceChunks)
      .where(and(eq(traceChunks.channelId, channel.id), gte(traceChunks.chunk, first)))
      .run();
    for (let start = 0; start < all.length; start += rowsPerChunk) {
      const some = all.subarray(start, start + rowsPerChunk);
      const chunk = first + start / rowsPerChunk;
      const { blob } = packed(some, some.length);
      const row = { channelId: channel.id, chunk, packed: blob, checksum: checksumOfChunk(chunk, blob) };
      db.insert(traceChunks).values(row).run();
    }
    rewriteOverviews(channel.id, from, all);
  }

  function rewriteOverviews(channelId: number, from: number, values: Float64Array): void {
    const before = from / level;
    const buckets = emptyBuckets(before + Math.ceil(values.length / level));
    const old = db
      .select()
      .from(traceOverviews)
      .where(and(eq(traceOverviews.channelId, channelId), eq(traceOverviews.level, level)))
      .get();
    if (old !== undefined && before > 0) {
      const kept = bucketsIn(old.buckets, 0, before);
      buckets.min.set(kept.min);
      buckets.max.set(kept.max);
      buckets.mean.set(kept.mean);
      buckets.count.set(kept.count);
    }
    bucketsInto(values, 0, values.length, level, buckets, before);
    const rows = from + values.length;
    for (const wide of overviewLevels) {
      const at = wide === level ? buckets : mergedBuckets(buckets, wide / level);
      const row = { channelId, level: wide, buckets: overviewBlob(at, rows, wide) };
      const target = [traceOverviews.channelId, traceOverviews.level];
      db.insert(traceOverviews)
        .values(row)
        .onConflictDoUpdate({ target, set: { buckets: row.buckets } })
        .run();
    }
  }

  return append;
}

/** The first row not before a time. */
function rowAt(times: Float64Array, seconds: number): number {
  let low = 0;
  let high = times.length;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if ((times[middle] as number) < seconds) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** Where each row of the merged times comes from: an old row (from 0 on) or a fresh one (-1 - its place). */
function merged(kept: Float64Array, fresh: readonly number[]): { t: number[]; places: number[] } {
  const t: number[] = [];
  const places: number[] = [];
  let old = 0;
  let next = 0;
  while (old < kept.length || next < fresh.length) {
    const isOld =
      next >= fresh.length || (old < kept.length && (kept[old] as number) < (fresh[next] as number));
    t.push(isOld ? (kept[old] as number) : (fresh[next] as number));
    places.push(isOld ? old : -1 - next);
    if (isOld) old += 1;
    else next += 1;
  }
  return { t, places };
}

function valueAt(
  place: number,
  old: Float64Array,
  column: readonly number[] | undefined,
  fresh: readonly number[],
): number {
  if (place >= 0) return old[place] ?? Number.NaN;
  return column?.[fresh[-1 - place] ?? -1] ?? Number.NaN;
}
