import { eq } from "drizzle-orm";
import {
  type ColumnMatch,
  headerKey,
  columnMatchList as matchesSchema,
} from "../../bench/logs/columnMatch.ts";
import { toMs } from "../rows/columns.ts";
import type { Db } from "../rows/db.ts";
import type { Memory } from "../rows/memory.ts";
import { traceAppender } from "./traceAppending.ts";
import { tracedAttempts } from "./tracedAttempts.ts";
import { traceReader } from "./traceReading.ts";
import { columnMatches } from "./traceSchema.ts";
import { traceWindows } from "./traceWindows.ts";
import { dropTrace, traceWriter } from "./traceWriting.ts";

/** The sensor traces of attempts, and the column matches settled for headers seen before. */
export function traceStore(db: Db, attemptMemory: Memory) {
  const reader = traceReader(db);
  return {
    outline: reader.outline,
    whole: reader.whole,
    window: traceWindows(reader),
    packedChunks: reader.packedChunks,
    attempts: tracedAttempts(db),
    write: traceWriter(db, attemptMemory),
    append: traceAppender(db, reader, attemptMemory),
    drop: (attemptId: string): void => dropTrace(db, attemptId, attemptMemory),
    matchesFor(names: readonly string[]): readonly ColumnMatch[] | undefined {
      const found = db
        .select()
        .from(columnMatches)
        .where(eq(columnMatches.header, headerKey(names)))
        .get();
      const read = matchesSchema.safeParse(found?.matches);
      return read.success ? read.data : undefined;
    },
    keepMatches(names: readonly string[], matches: readonly ColumnMatch[], now: string): void {
      const row = { header: headerKey(names), matches, keptAt: toMs(now) };
      db.insert(columnMatches)
        .values(row)
        .onConflictDoUpdate({ target: columnMatches.header, set: { matches, keptAt: row.keptAt } })
        .run();
    },
  };
}
