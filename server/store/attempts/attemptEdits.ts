import { eq } from "drizzle-orm";
import { toMs } from "../rows/columns.ts";
import type { Db } from "../rows/db.ts";
import type { editLog } from "../rows/editLog.ts";
import { attemptEdits } from "../rows/historySchema.ts";

export type { StampedEdit as Edit } from "../../bench/document/account.ts";

export const editStore = (db: Db, { editsOf, editsOfEach, editedSince }: ReturnType<typeof editLog>) => ({
  /** The attempts that were edited at that very moment. */
  editedAt(at: string): readonly string[] {
    const rows = db
      .selectDistinct({ id: attemptEdits.attemptId })
      .from(attemptEdits)
      .where(eq(attemptEdits.at, toMs(at)))
      .all();
    return rows.map(({ id }) => id);
  },
  /** What each changed field was before and is after, the latest last. */
  editsOf,
  editsOfEach,
  editedSince,
});
