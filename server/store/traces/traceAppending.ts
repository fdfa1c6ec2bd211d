import { eq } from "drizzle-orm";
import type { Channel } from "../../bench/logs/channel.ts";
import { bucketsInto, emptyBuckets, mergedBuckets } from "../../numerics/buckets.ts";
import { checksumOfChunk, checksumOfOverview } from "../rows/checksums.ts";
import { toMs } from "../rows/columns.ts";
import type { Db } from "../rows/db.ts";
import type { Memory } from "../rows/memory.ts";
import { attempts } from "../rows/schema.ts";
import { whenAsked } from "../rows/statements.ts";
import { bucketsIn, overviewBlob } from "./overviewBlob.ts";
import { packed } from "./traceBlob.ts";
import { overviewLevels, rowsPerTraceChunk } from "./tracePacking.ts";
import type { traceReader } from "./traceReading.ts";
import { traceChannels, traces } from "./traceSchema.ts";

/** Rows taken while an attempt runs, in seconds from the trace's first row. */
export type LiveSamples = Readonly<{
  channels: readonly Channel[];
  t: readonly number[];
  /** For each channel a value for each time; NaN where it was not read. */
  values: readonly (readonly number[])[];
}>;

type KeptChannel = Channel & Readonly<{ id: number }>;

const level = overviewLevels[0];

/**
 * Adds live samples to an attempt's trace, begun by the first of them. A time that is there already is left as it is, so
 * that a repeat changes nothing. Only the chunks from the earliest new time on are packed anew.
 */
export function traceAppender(db: Db, reader: ReturnType<typeof traceReader>, attemptMemory: Memory) {
  const overviewOf = whenAsked(() =>
    db.$client.prepare("SELECT buckets FROM trace_overviews WHERE channel_id = ? AND level = ?").pluck(),
  );
  // Written ten times a second and channel, so they are made once, and a row takes the place of the one before.
  const keepChunk = whenAsked(() =>
    db.$client.prepare(
      "INSERT OR REPLACE INTO trace_chunks (channel_id, chunk, packed, checksum) VALUES (?, ?, ?, ?)",
    ),
  );
  const keepOverview = whenAsked(() =>
    db.$client.prepare(
      "INSERT OR REPLACE INTO trace_overviews (channel_id, level, buckets, checksum) VALUES (?, ?, ?, ?)",
    ),
  );

  const append = db.$client.transaction(
    (attemptId: string, samples: LiveSamples, startedAt: string | null, now: string): number => {
      const trace = begun(attemptId, startedAt, now);
      const [time] = channelsFor(trace.id, [{ channel: "time", unit: "s" }]) as [KeptChannel];
      const fresh = freshOf(samples, trace, time);
      if (fresh.t.length === 0) return 0;
      const channels = channelsFor(trace.id, samples.channels);
      const from = Math.floor(fresh.firstRow / rowsPerTraceChunk) * rowsPerTraceChunk;
      const kept = reader.valuesOf(time, { from, to: trace.rows });
      const order = merged(kept, fresh.t);
      rewrite(time, from, order.t);
      const named = new Map(samples.channels.map((channel, at) => [channel.channel, at]));
      for (const channel of channels.slice(1)) {
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
    attemptMemory.forgetQuietly();
    db.update(attempts).set({ traced: true }).where(eq(attempts.id, attemptId)).run();
    return { ...row, id };
  }

  /** Every channel that the trace has then, the time first. */
  function channelsFor(traceId: number, wanted: readonly Channel[]): readonly KeptChannel[] {
    const kept = [...reader.keptChannels(traceId)];
    const named = new Set(kept.map(({ channel }) => channel));
    for (const channel of wanted) {
      if (named.has(channel.channel)) continue;
      named.add(channel.channel);
      const row = { traceId, place: kept.length, ...channel };
      kept.push({ ...channel, id: Number(db.insert(traceChannels).values(row).run().lastInsertRowid) });
    }
    return kept;
  }

  /** The samples whose times are new, in order of time, and the row before which the first of them belongs. */
  function freshOf(
    samples: LiveSamples,
    { rows, toS }: Readonly<{ rows: number; toS: number }>,
    time: KeptChannel,
  ) {
    const order = [...samples.t.keys()]
      .filter((at) => Number.isFinite(samples.t[at]))
      .sort((a, b) => (samples.t[a] ?? 0) - (samples.t[b] ?? 0));
    const secondsAt = (at: number | undefined): number => Math.round((samples.t[at ?? -1] ?? 0) * 1e6) / 1e6;
    // Nearly all goes on where the trace ends, and need not be held against what is there.
    const goesOn = rows > 0 && secondsAt(order[0]) > toS;
    const kept = goesOn ? new Float64Array(0) : reader.valuesOf(time, { from: 0, to: rows });
    const places: number[] = [];
    const t: number[] = [];
    for (const at of order) {
      const seconds = secondsAt(at);
      if (kept[rowAt(kept, seconds)] === seconds || t[t.length - 1] === seconds) continue;
      t.push(seconds);
      places.push(at);
    }
    return { t, places, firstRow: goesOn || t[0] === undefined ? rows : rowAt(kept, t[0]) };
  }

  function rewrite(channel: { id: number }, from: number, values: Float64Array | readonly number[]): void {
    const all = Float64Array.from(values);
    const first = from / rowsPerTraceChunk;
    for (let start = 0; start < all.length; start += rowsPerTraceChunk) {
      const some = all.subarray(start, start + rowsPerTraceChunk);
      const chunk = first + start / rowsPerTraceChunk;
      const { blob } = packed(some, some.length);
      keepChunk().run(channel.id, chunk, blob, checksumOfChunk(chunk, blob));
    }
    rewriteOverviews(channel.id, from, all);
  }

  function rewriteOverviews(channelId: number, from: number, values: Float64Array): void {
    const before = from / level;
    const buckets = emptyBuckets(before + Math.ceil(values.length / level));
    const old = before > 0 ? (overviewOf().get(channelId, level) as Buffer | undefined) : undefined;
    if (old !== undefined) {
      const kept = bucketsIn(old, 0, before);
      buckets.min.set(kept.min);
      buckets.max.set(kept.max);
      buckets.mean.set(kept.mean);
      buckets.count.set(kept.count);
    }
    bucketsInto(values, 0, values.length, level, buckets, before);
    const rows = from + values.length;
    for (const wide of overviewLevels) {
      const at = wide === level ? buckets : mergedBuckets(buckets, wide / level);
      const blob = overviewBlob(at, rows, wide);
      keepOverview().run(channelId, wide, blob, checksumOfOverview(channelId, wide, blob));
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
