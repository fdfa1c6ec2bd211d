import { and, asc, eq, isNull } from "drizzle-orm";
import { nextStamp, type Stamp, stampOf, timeOf } from "../../bench/document/stamp.ts";
import type { OwnWords, OwnWordsBySlot } from "../../bench/writeUp/block.ts";
import type { Writer } from "../rows/accounts.ts";
import { toInstant, toMs } from "../rows/columns.ts";
import type { Db } from "../rows/db.ts";
import { editLog } from "../rows/editLog.ts";
import type { Memory } from "../rows/memory.ts";
import { writeUpWords } from "./writeUpSchema.ts";

export type WrittenWords = OwnWords & Readonly<{ builds: string; slot: string; updatedAt: string }>;

/** With when they were written, also where they were given up again. */
export type StampedWords = WrittenWords & Readonly<{ stamp: Stamp; dropped: boolean }>;

/** Words that gave way to later ones, or to the journal's own, and when; written on another bench or here. */
export type EarlierWords = Readonly<{ stamp: Stamp; at: string; words: string }>;

/** The writer's own words. `builds` names the account: the ids of its builds with commas between. */
export const writeUpWordStore = (db: Db, memory: Memory, writer: Writer) => {
  const log = editLog(db, { table: "thing_edits", of: "thing_id" });
  const placeOf = (builds: string, slot: string): string => `${builds} ${slot}`;
  const named = (builds: string, slot: string) =>
    and(eq(writeUpWords.builds, builds), eq(writeUpWords.slot, slot));

  function stamped(builds: string, slot: string): StampedWords | undefined {
    const row = db.select().from(writeUpWords).where(named(builds, slot)).get();
    return row && fromRow(row);
  }

  const next = (builds: string, slot: string, now: string): Stamp =>
    nextStamp(now, timeOf(stamped(builds, slot)?.stamp ?? ""), writer());

  /** Stays in the history that words stood there, once; of the journal's own there is nothing to keep. */
  function noteEarlier(earlier: StampedWords, standing: StampedWords): void {
    const place = placeOf(earlier.builds, earlier.slot);
    if (earlier.words === "" || earlier.words === standing.words) return;
    if (log.editsOf(place).some(({ stamp }) => stamp === earlier.stamp)) return;
    const changes = { words: [earlier.words, standing.words] } as const;
    log.note(place, { at: standing.updatedAt, changes, stamp: earlier.stamp, seen: {} });
  }

  /** As they come from elsewhere, with their stamp. */
  function keepStamped(own: StampedWords): void {
    const { builds, slot, words, replaced, updatedAt, stamp, dropped } = own;
    memory.forget();
    const before = stamped(builds, slot);
    if (before) noteEarlier(before, own);
    const kept = { words, replaced, stamp, updatedAt: toMs(updatedAt), dropped: dropped || null };
    db.insert(writeUpWords)
      .values({ builds, slot, ...kept })
      .onConflictDoUpdate({ target: [writeUpWords.builds, writeUpWords.slot], set: kept })
      .run();
  }

  return {
    of(builds: string): OwnWordsBySlot {
      const rows = db
        .select()
        .from(writeUpWords)
        .where(and(eq(writeUpWords.builds, builds), isNull(writeUpWords.dropped)))
        .all();
      return Object.fromEntries(rows.map(({ slot, words, replaced }) => [slot, { words, replaced }]));
    },
    stamped,
    all(): StampedWords[] {
      return db
        .select()
        .from(writeUpWords)
        .orderBy(asc(writeUpWords.builds), asc(writeUpWords.slot))
        .all()
        .map(fromRow);
    },
    keep(words: WrittenWords): void {
      const stamp = next(words.builds, words.slot, words.updatedAt);
      keepStamped({ ...words, stamp, dropped: false });
    },
    keepStamped,
    noteEarlier,
    /** What stood there before, the latest first. */
    earlierOf: (builds: string, slot: string): readonly EarlierWords[] =>
      log
        .editsOf(placeOf(builds, slot))
        .toReversed()
        .map(({ stamp, at, changes }) => ({ stamp, at, words: String(changes.words?.[0] ?? "") })),
    forgetEarlier: (builds: string, slot: string): void => log.dropEdits(placeOf(builds, slot)),
    /** The words go; that they were given up stays, so that it travels. */
    drop(builds: string, slot: string, now: string): void {
      const there = stamped(builds, slot);
      if (there === undefined || there.dropped) return;
      const stamp = next(builds, slot, now);
      keepStamped({ ...there, words: "", replaced: "", updatedAt: now, stamp, dropped: true });
    },
    forgetWhole(builds: string, slot: string): void {
      memory.forget();
      db.delete(writeUpWords).where(named(builds, slot)).run();
    },
  };
};

function fromRow(row: typeof writeUpWords.$inferSelect): StampedWords {
  const { builds, slot, words, replaced, updatedAt, stamp, dropped } = row;
  const at = toInstant(updatedAt);
  return {
    ...{ builds, slot, words, replaced, updatedAt: at },
    ...{ stamp: stamp ?? stampOf(updatedAt, 0, ""), dropped: dropped ?? false },
  };
}
