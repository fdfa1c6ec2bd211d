import { eq, sql } from "drizzle-orm";
import { checksumOfChunk } from "../rows/checksums.ts";
import { toMs } from "../rows/columns.ts";
import type { Db } from "../rows/db.ts";
import type { Memory } from "../rows/memory.ts";
import { attempts } from "../rows/schema.ts";
import { whenAsked } from "../rows/statements.ts";
import type { PackedTrace } from "./tracePacking.ts";
import { traceChannels, traceChunks, traceOverviews, traces } from "./traceSchema.ts";

export type TraceOrigin = Readonly<{
  source: "log" | "live";
  /** When its first row was taken, where that is known. */
  startedAt: string | null;
}>;

/** Keeps a packed trace whole, or not at all; a trace the attempt had before is replaced. Prepared once. */
export function traceWriter(db: Db, attemptMemory: Memory) {
  const chunk = whenAsked(() =>
    db
      .insert(traceChunks)
      .values({
        channelId: sql.placeholder("channelId"),
        chunk: sql.placeholder("chunk"),
        packed: sql.placeholder("packed"),
        checksum: sql.placeholder("checksum"),
      })
      .prepare(),
  );

  function writeChannels(traceId: number, trace: PackedTrace): void {
    trace.channels.forEach((packed, place) => {
      if (!packed.hasReadings) return;
      const row = { traceId, place, channel: packed.channel, unit: packed.unit };
      const channelId = Number(db.insert(traceChannels).values(row).run().lastInsertRowid);
      packed.chunks.forEach((blob, at) => {
        chunk().run({ channelId, chunk: at, packed: blob, checksum: checksumOfChunk(at, blob) });
      });
      for (const { level, blob } of packed.overviews)
        db.insert(traceOverviews).values({ channelId, level, buckets: blob }).run();
    });
  }

  return db.$client.transaction((attemptId: string, trace: PackedTrace, origin: TraceOrigin, now: string) => {
    dropTrace(db, attemptId, attemptMemory);
    const { rows, fromS, toS } = trace;
    const startedAt = origin.startedAt === null ? null : toMs(origin.startedAt);
    const row = { attemptId, rows, fromS, toS, startedAt, source: origin.source, keptAt: toMs(now) };
    const traceId = Number(db.insert(traces).values(row).run().lastInsertRowid);
    writeChannels(traceId, trace);
    db.update(attempts).set({ traced: true }).where(eq(attempts.id, attemptId)).run();
  });
}

/** Takes an attempt's trace out of the journal, with all that hangs on it. */
export function dropTrace(db: Db, attemptId: string, attemptMemory: Memory): void {
  attemptMemory.forget();
  db.delete(traces).where(eq(traces.attemptId, attemptId)).run();
  db.update(attempts).set({ traced: false }).where(eq(attempts.id, attemptId)).run();
}
