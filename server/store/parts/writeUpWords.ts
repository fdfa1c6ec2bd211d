import { and, asc, eq, isNull } from "drizzle-orm";
import { nextStamp, type Stamp, stampOf, timeOf, whenWritten } from "../../bench/document/stamp.ts";
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

/** Words that gave way to later ones, or to the journal's own, with when they were written, here or on another bench. */
export type EarlierWords = Readonly<{ stamp: Stamp; words: string }>;

/** So many are kept of a paragraph: those that were written last. */
const mostEarlier = 20;

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

  /** What stood there before, the latest first. */
  const earlierOf = (builds: string, slot: string): readonly EarlierWords[] =>
    log
      .editsOf(placeOf(builds, slot))
      .toReversed()
      .map(({ stamp, changes }) => ({ stamp, words: String(changes.words?.[0] ?? "") }));

  /** These and no others. */
  function keepEarlier(builds: string, slot: string, all: readonly EarlierWords[]): void {
    const edits = all.map(({ stamp, words }) => ({
      ...{ at: whenWritten(stamp), changes: { words: [words, null] } as const, stamp, seen: {} },
    }));
    log.keepEdits(placeOf(builds, slot), edits.toReversed());
  }

  /** All that stood there with these, each once, the latest first, as far as they are kept. Of the journal's own words nothing is. */
  function withEarlier(builds: string, slot: string, more: EarlierWords): readonly EarlierWords[] {
    const known = earlierOf(builds, slot);
    if (more.words === "" || known.some(({ stamp }) => stamp === more.stamp)) return known;
    const { stamp, words } = more;
    return [...known, { stamp, words }].sort((a, b) => (a.stamp > b.stamp ? -1 : 1)).slice(0, mostEarlier);
  }

  /** In the place of what stood there, of which nothing is kept. */
  function putStamped(own: StampedWords): void {
    const { builds, slot, words, replaced, updatedAt, stamp, dropped } = own;
    memory.forget();
    const kept = { words, replaced, stamp, updatedAt: toMs(updatedAt), dropped: dropped || null };
    db.insert(writeUpWords)
      .values({ builds, slot, ...kept })
      .onConflictDoUpdate({ target: [writeUpWords.builds, writeUpWords.slot], set: kept })
      .run();
  }

  function keepStamped(own: StampedWords): void {
    const before = stamped(own.builds, own.slot);
    if (before && before.words !== own.words)
      keepEarlier(own.builds, own.slot, withEarlier(own.builds, own.slot, before));
    putStamped(own);
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
    putStamped,
    earlierOf,
    keepEarlier,
    withEarlier,
    /** Of every paragraph that anyone ever wrote. */
    *allEarlier(): Generator<EarlierWords & Readonly<{ builds: string; slot: string }>> {
      const places = db.select({ builds: writeUpWords.builds, slot: writeUpWords.slot }).from(writeUpWords);
      for (const place of places.orderBy(asc(writeUpWords.builds), asc(writeUpWords.slot)).all())
        for (const earlier of earlierOf(place.builds, place.slot)) yield { ...place, ...earlier };
    },
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
