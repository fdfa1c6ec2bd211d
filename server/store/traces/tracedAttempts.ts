import { and, asc, desc, eq, isNull, sql } from "drizzle-orm";
import type { Attempt } from "../../bench/things/attempt.ts";
import type { Page } from "../../bench/things/thing.ts";
import { toAttempt } from "../attempts/attemptRow.ts";
import { toMs } from "../rows/columns.ts";
import { positionOf } from "../rows/cursor.ts";
import type { Db } from "../rows/db.ts";
import { attempts, buildStates } from "../rows/schema.ts";
import { rowCounter } from "../rows/statements.ts";
import { listPage, type PageQuestion } from "../rows/thingPages.ts";
import { traces } from "./traceSchema.ts";

/** The attempts that have a trace, newest first. */
export const tracedAttempts = (db: Db) => ({
  page({ limit, after }: PageQuestion): Page<Attempt> {
    const at = after === null ? undefined : positionOf(after, 0);
    const rows = db
      .select({ attempt: attempts, parts: buildStates.parts })
      .from(traces)
      // Across, which SQLite keeps to the order of: else it goes through every attempt for the few that have a trace.
      .crossJoin(attempts)
      .innerJoin(buildStates, eq(buildStates.id, attempts.stateId))
      .where(
        and(
          eq(attempts.id, traces.attemptId),
          isNull(attempts.deletedAt),
          at && sql`(${attempts.startedAt}, ${attempts.id}) < (${at.order}, ${at.id})`,
        ),
      )
      .orderBy(desc(attempts.startedAt), desc(attempts.id))
      .limit(limit + 1)
      .all();
    const found = rows.map(({ attempt, parts }) => toAttempt(attempt, parts));
    return listPage(found, limit, ({ startedAt }) => toMs(startedAt));
  },
  /** The ids alone, in order; those of deleted attempts too, as they may come back. */
  ids: (): readonly string[] =>
    db
      .select({ id: traces.attemptId })
      .from(traces)
      .orderBy(asc(traces.attemptId))
      .all()
      .map(({ id }) => id),
  /** Those of deleted attempts too, as long as they can come back. */
  count: rowCounter(db, traces, undefined),
});
