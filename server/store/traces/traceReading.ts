import { and, asc, between, eq, sql } from "drizzle-orm";
import type { Channel } from "../../bench/logs/channel.ts";
import { toInstant, toInstantOrNull } from "../rows/columns.ts";
import type { Db } from "../rows/db.ts";
import { whenAsked } from "../rows/statements.ts";
import { unpackInto } from "./traceBlob.ts";
import { type OverviewLevel, rowsPerTraceChunk } from "./tracePacking.ts";
import { traceChannels, traceChunks, traceOverviews, traces } from "./traceSchema.ts";

/** What is known of a trace without reading its values. */
export type TraceOutline = Readonly<{
  id: number;
  rows: number;
  fromS: number;
  toS: number;
  startedAt: string | null;
  keptAt: string;
  source: "log" | "live";
  /** Without the time. */
  channels: readonly Channel[];
}>;

export type PackedChunk = Readonly<{ channel: string; chunk: number; packed: Buffer }>;

export type KeptChannel = Channel & Readonly<{ id: number }>;
export type TraceRows = Readonly<{ from: number; to: number }>;

/** Reads traces as they are kept: what is there, whole channels by chunks, and overviews. */
export function traceReader(db: Db) {
  const traceAsked = whenAsked(() =>
    db
      .select()
      .from(traces)
      .where(eq(traces.attemptId, sql.placeholder("attempt")))
      .prepare(),
  );
  const channelsOf = whenAsked(() =>
    db
      .select({ id: traceChannels.id, channel: traceChannels.channel, unit: traceChannels.unit })
      .from(traceChannels)
      .where(eq(traceChannels.traceId, sql.placeholder("trace")))
      .orderBy(asc(traceChannels.place))
      .prepare(),
  );
  const chunksOf = whenAsked(() =>
    db
      .select({ chunk: traceChunks.chunk, packed: traceChunks.packed })
      .from(traceChunks)
      .where(
        and(
          eq(traceChunks.channelId, sql.placeholder("channel")),
          between(traceChunks.chunk, sql.placeholder("from"), sql.placeholder("to")),
        ),
      )
      .orderBy(asc(traceChunks.chunk))
      .prepare(),
  );
  const overviewOf = whenAsked(() =>
    db
      .select({ buckets: traceOverviews.buckets })
      .from(traceOverviews)
      .where(
        and(
          eq(traceOverviews.channelId, sql.placeholder("channel")),
          eq(traceOverviews.level, sql.placeholder("level")),
        ),
      )
      .prepare(),
  );

  const traceOf = (attemptId: string) => traceAsked().get({ attempt: attemptId });

  function outline(attemptId: string): TraceOutline | undefined {
    const found = traceOf(attemptId);
    if (found === undefined) return undefined;
    const channels = keptChannels(found.id).filter(({ channel }) => channel !== "time");
    const { id, rows, fromS, toS, source } = found;
    const plain = channels.map(({ channel, unit }) => ({ channel, unit }));
    const [startedAt, keptAt] = [toInstantOrNull(found.startedAt), toInstant(found.keptAt)];
    return { id, rows, fromS, toS, source, startedAt, keptAt, channels: plain };
  }

  const keptChannels = (traceId: number): readonly KeptChannel[] => channelsOf().all({ trace: traceId });

  /** The values of some rows; NaN where a chunk is not there. */
  function valuesOf(channel: KeptChannel, { from, to }: TraceRows): Float64Array {
    const firstChunk = Math.floor(from / rowsPerTraceChunk);
    const lastChunk = Math.floor(Math.max(from, to - 1) / rowsPerTraceChunk);
    const start = firstChunk * rowsPerTraceChunk;
    const values = new Float64Array((lastChunk + 1) * rowsPerTraceChunk - start);
    let filled = 0;
    for (const { chunk, packed } of chunksOf().all({
      channel: channel.id,
      from: firstChunk,
      to: lastChunk,
    })) {
      const at = chunk * rowsPerTraceChunk - start;
      if (at > filled) values.fill(Number.NaN, filled, at);
      filled = at + unpackInto(packed, values, at);
    }
    values.fill(Number.NaN, filled);
    return values.subarray(from - start, to - start);
  }

  const overviewAt = (channel: KeptChannel, level: OverviewLevel): Buffer | undefined =>
    overviewOf().get({ channel: channel.id, level })?.buckets;

  /** Whole channels by name, the time first under `t`; channels that are not there are left out. */
  function whole(attemptId: string, names: readonly string[]): ReadonlyMap<string, Float64Array> {
    const found = traceOf(attemptId);
    if (found === undefined) return new Map();
    const wanted = keptChannels(found.id).filter(({ channel }) => names.includes(channel));
    return new Map(
      wanted.map((channel) => [channel.channel, valuesOf(channel, { from: 0, to: found.rows })]),
    );
  }

  /** Every chunk there is, as packed, channel by channel; one in memory at a time. */
  function* packedChunks(attemptId: string): Generator<PackedChunk> {
    const found = traceOf(attemptId);
    if (found === undefined) return;
    for (const { id, channel } of keptChannels(found.id))
      for (let chunk = 0; chunk * rowsPerTraceChunk < found.rows; chunk += 1)
        for (const { packed } of chunksOf().all({ channel: id, from: chunk, to: chunk }))
          yield { channel, chunk, packed };
  }

  return { traceOf, outline, whole, packedChunks, keptChannels, valuesOf, overviewAt };
}
