import { asc, eq } from "drizzle-orm";
import { toInstant, toMs } from "../rows/columns.ts";
import type { Db } from "../rows/db.ts";
import { attemptEdits } from "../rows/schema.ts";

/** One edit of an attempt: what each changed field was before and is after. */
export type Edit = Readonly<{
  at: string;
  changes: Readonly<Record<string, readonly [before: unknown, after: unknown]>>;
}>;

export const editStore = (db: Db) => ({
  noteEdit(attemptId: string, changes: Edit["changes"], now: string): void {
    db.insert(attemptEdits)
      .values({ attemptId, changes, at: toMs(now) })
      .run();
  },
  /** The attempts that were ever edited: most were not, and need not be asked about. */
  edited(): ReadonlySet<string> {
    const rows = db.selectDistinct({ id: attemptEdits.attemptId }).from(attemptEdits).all();
    return new Set(rows.map(({ id }) => id));
  },
  editsOf(attemptId: string): Edit[] {
    return db
      .select()
      .from(attemptEdits)
      .where(eq(attemptEdits.attemptId, attemptId))
      .orderBy(asc(attemptEdits.id))
      .all()
      .map((row) => ({ at: toInstant(row.at), changes: row.changes }));
  },
});
