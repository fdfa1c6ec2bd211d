import { and, asc, eq, getTableName, isNotNull, isNull, lt, not, type SQL, sql } from "drizzle-orm";
import type { SQLiteColumn, SQLiteTable } from "drizzle-orm/sqlite-core";
import type { Kept, Page } from "../../bench/things/thing.ts";
import { toInstant, toMs } from "./columns.ts";
import { cursorOf, positionOf } from "./cursor.ts";
import type { Db } from "./db.ts";
import type { Memory } from "./memory.ts";
import { isNamed, isNamedByStanding } from "./referrers.ts";
import { rowCount } from "./rowCount.ts";
import { whenAsked } from "./whenAsked.ts";

export type PageWanted = Readonly<{ limit: number; after: string | null }>;

type KeptColumns = Record<"id" | "createdAt" | "updatedAt" | "version" | "deletedAt", SQLiteColumn>;
export type KeptRow = {
  id: string;
  createdAt: number;
  updatedAt: number;
  version: number;
  deletedAt: number | null;
};

export const keptOf = (row: KeptRow): Kept => ({
  id: row.id,
  createdAt: toInstant(row.createdAt),
  updatedAt: toInstant(row.updatedAt),
  version: row.version,
});

/** What every list of things can do, whatever the thing: found, added, replaced, removed and brought back. */
export function keptStore<Row extends KeptRow, Thing extends Kept, Fields>(
  db: Db,
  table: SQLiteTable & KeptColumns,
  toThing: (row: Row) => Thing,
  toColumns: (fields: Fields) => Record<string, unknown>,
  memory: Memory,
) {
  const id = sql.placeholder("id");
  const byId = whenAsked(() =>
    db
      .select()
      .from(table)
      .where(and(eq(table.id, id), isNull(table.deletedAt)))
      .prepare(),
  );
  const deletedById = whenAsked(() =>
    db
      .select()
      .from(table)
      .where(and(eq(table.id, id), isNotNull(table.deletedAt)))
      .prepare(),
  );

  return {
    find(wanted: string): Thing | undefined {
      return memory.recall(wanted, () => {
        const row = byId().get({ id: wanted }) as Row | undefined;
        return row && toThing(row);
      });
    },
    /** Whether there is such a thing, removed or not. */
    holds: whenHeld(db, table),
    findDeleted(wanted: string): (Thing & { deletedAt: string }) | undefined {
      const row = deletedById().get({ id: wanted }) as Row | undefined;
      return row && { ...toThing(row), deletedAt: toInstant(row.deletedAt ?? 0) };
    },
    /** Puts in a thing as it is: new with version 1, or from another journal with its own. */
    put(kept: Kept, fields: Fields): void {
      memory.forget();
      db.insert(table)
        .values({
          ...toColumns(fields),
          id: kept.id,
          createdAt: toMs(kept.createdAt),
          updatedAt: toMs(kept.updatedAt),
          version: kept.version,
        } as never)
        .run();
    },
    replace(wanted: string, fields: Fields, now: string): void {
      memory.forget();
      db.update(table)
        .set({ ...toColumns(fields), updatedAt: toMs(now), version: sql`version + 1` } as never)
        .where(eq(table.id, wanted))
        .run();
    },
    /** Takes over what another journal says of a thing, its version and times with it. */
    overwrite(kept: Kept, fields: Fields): void {
      memory.forget();
      db.update(table)
        .set({
          ...toColumns(fields),
          updatedAt: toMs(kept.updatedAt),
          version: kept.version,
          deletedAt: null,
        } as never)
        .where(eq(table.id, kept.id))
        .run();
    },
    remove(wanted: string, now: string): void {
      memory.forget();
      db.update(table)
        .set({ deletedAt: toMs(now) } as never)
        .where(eq(table.id, wanted))
        .run();
    },
    restore(wanted: string): void {
      memory.forget();
      db.update(table)
        .set({ deletedAt: null } as never)
        .where(eq(table.id, wanted))
        .run();
    },
    /** What was removed and can still be brought back, the latest first. */
    removed(): (Thing & { deletedAt: string })[] {
      const rows = db
        .select()
        .from(table)
        .where(isNotNull(table.deletedAt))
        .orderBy(sql`${table.deletedAt} DESC`)
        .all() as Row[];
      return rows.map((row) => ({ ...toThing(row), deletedAt: toInstant(row.deletedAt ?? 0) }));
    },
    /** Lets go for good of what was removed before `then`, unless something still names it. */
    forgetRemovedBefore(then: string): void {
      memory.forget();
      db.delete(table)
        .where(and(lt(table.deletedAt, toMs(then)), not(sql.raw(isNamed(getTableName(table))))))
        .run();
    },
    /** Brings back what was removed although something that stands names it; says how many that were. */
    restoreNamed(): number {
      memory.forget();
      return db
        .update(table)
        .set({ deletedAt: null } as never)
        .where(and(isNotNull(table.deletedAt), sql.raw(isNamedByStanding(getTableName(table)))))
        .run().changes;
    },
    count(): number {
      return rowCount(db, table, isNull(table.deletedAt));
    },
  };
}

/** By the driver itself: it is asked of everything that another journal sends. */
export function whenHeld(db: Db, table: SQLiteTable): (id: string) => boolean {
  const held = whenAsked(() =>
    db.$client.prepare(`SELECT 1 FROM ${getTableName(table)} WHERE id = ?`).pluck(),
  );
  return (id) => held().get(id) !== undefined;
}

/** Things that have a name are listed by it. */
export function namedStore<
  Row extends KeptRow & { name: string },
  Thing extends Kept & { name: string },
  Fields,
>(
  db: Db,
  table: SQLiteTable & KeptColumns & { name: SQLiteColumn },
  toThing: (row: Row) => Thing,
  toColumns: (fields: Fields) => Record<string, unknown>,
  memory: Memory,
) {
  const limit = sql.placeholder("limit");
  const here = isNull(table.deletedAt);
  const inOrder = [asc(table.name), asc(table.id)] as const;
  const first = whenAsked(() =>
    db
      .select()
      .from(table)
      .where(here)
      .orderBy(...inOrder)
      .limit(limit)
      .prepare(),
  );
  const beyond: SQL = sql`(${table.name}, ${table.id}) > (${sql.placeholder("name")}, ${sql.placeholder("id")})`;
  const later = whenAsked(() =>
    db
      .select()
      .from(table)
      .where(and(here, beyond))
      .orderBy(...inOrder)
      .limit(limit)
      .prepare(),
  );
  return {
    ...keptStore<Row, Thing, Fields>(db, table, toThing, toColumns, memory),
    page({ limit: most, after }: PageWanted): Page<Thing> {
      const position = after === null ? null : positionOf(after, "");
      const rows = (position
        ? later().all({ name: position.order, id: position.id, limit: most + 1 })
        : first().all({ limit: most + 1 })) as unknown as Row[];
      const items = rows.slice(0, most).map(toThing);
      const last = items.at(-1);
      return { items, next: rows.length > most && last ? cursorOf({ order: last.name, id: last.id }) : null };
    },
    all(): readonly Thing[] {
      return memory.recall("all", () => (first().all({ limit: -1 }) as unknown as Row[]).map(toThing));
    },
  };
}

/** Things that belong to a build are listed newest first; those without a date come last. */
export function datedPage<Thing extends { id: string }>(
  rows: readonly Thing[],
  most: number,
  orderOf: (thing: Thing) => number,
): Page<Thing> {
  const items = rows.slice(0, most);
  const last = items.at(-1);
  return { items, next: rows.length > most && last ? cursorOf({ order: orderOf(last), id: last.id }) : null };
}
