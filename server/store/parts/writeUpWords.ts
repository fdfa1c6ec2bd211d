import { and, asc, eq } from "drizzle-orm";
import type { OwnWords, OwnWordsBySlot } from "../../bench/writeUp/block.ts";
import { toInstant, toMs } from "../rows/columns.ts";
import type { Db } from "../rows/db.ts";
import { writeUpWords } from "./writeUpSchema.ts";

export type WrittenWords = OwnWords & Readonly<{ builds: string; slot: string; updatedAt: string }>;

/** The writer's own words. `builds` names the account: the ids of its builds with commas between. */
export const writeUpWordStore = (db: Db) => ({
  of(builds: string): OwnWordsBySlot {
    const rows = db.select().from(writeUpWords).where(eq(writeUpWords.builds, builds)).all();
    return Object.fromEntries(rows.map(({ slot, words, replaced }) => [slot, { words, replaced }]));
  },
  all(): WrittenWords[] {
    const rows = db
      .select()
      .from(writeUpWords)
      .orderBy(asc(writeUpWords.builds), asc(writeUpWords.slot))
      .all();
    return rows.map((row) => ({ ...row, updatedAt: toInstant(row.updatedAt) }));
  },
  keep({ builds, slot, words, replaced, updatedAt }: WrittenWords): void {
    const kept = { words, replaced, updatedAt: toMs(updatedAt) };
    db.insert(writeUpWords)
      .values({ builds, slot, ...kept })
      .onConflictDoUpdate({ target: [writeUpWords.builds, writeUpWords.slot], set: kept })
      .run();
  },
  drop(builds: string, slot: string): void {
    db.delete(writeUpWords)
      .where(and(eq(writeUpWords.builds, builds), eq(writeUpWords.slot, slot)))
      .run();
  },
});
