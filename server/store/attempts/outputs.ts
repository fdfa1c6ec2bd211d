import { eq } from "drizzle-orm";
import type { Db } from "../rows/db.ts";
import { attemptOutputs, attempts } from "../rows/schema.ts";

/** What loads printed while they ran. */
export const outputStore = (db: Db, forget: (buildId: string) => void) => ({
  /** Takes the place of what was kept of that attempt before. */
  keepOutput(attemptId: string, output: string): void {
    db.insert(attemptOutputs)
      .values({ attemptId, output })
      .onConflictDoUpdate({ target: attemptOutputs.attemptId, set: { output } })
      .run();
    const of = db
      .select({ buildId: attempts.buildId })
      .from(attempts)
      .where(eq(attempts.id, attemptId))
      .get();
    if (of !== undefined) forget(of.buildId);
  },
  /** All of them, one at a time, in the order of the attempts. */
  *outputs(): Generator<{ attemptId: string; output: string }> {
    const ids = db
      .select({ id: attemptOutputs.attemptId })
      .from(attemptOutputs)
      .orderBy(attemptOutputs.attemptId)
      .all();
    for (const { id: attemptId } of ids) {
      const output = db
        .select()
        .from(attemptOutputs)
        .where(eq(attemptOutputs.attemptId, attemptId))
        .get()?.output;
      if (output !== undefined) yield { attemptId, output };
    }
  },
  dropOutput(attemptId: string): void {
    db.delete(attemptOutputs).where(eq(attemptOutputs.attemptId, attemptId)).run();
  },
  outputOf(attemptId: string): string | undefined {
    return db.select().from(attemptOutputs).where(eq(attemptOutputs.attemptId, attemptId)).get()?.output;
  },
});
