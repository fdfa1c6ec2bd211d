import { and, asc, desc, eq, getTableName, isNotNull, isNull, type SQL, sql } from "drizzle-orm";
import type { SQLiteColumn, SQLiteTable } from "drizzle-orm/sqlite-core";
import type { StampedEdit, Stamps, ThingAccount } from "../../bench/document/account.ts";
import type { MergedList } from "../../bench/document/registers.ts";
import type { Kept, Page } from "../../bench/things/thing.ts";
import { accountsOf, columnsOfAccount, type Writer } from "./accounts.ts";
import { toInstant, toMs } from "./columns.ts";
import { cursorOf, positionOf } from "./cursor.ts";
import type { Db } from "./db.ts";
import { editLog } from "./editLog.ts";
import type { Memory } from "./memory.ts";
import { isNamed, isNamedByStanding } from "./referrers.ts";
import { rowCounter } from "./rowCounter.ts";
import { whenAsked } from "./whenAsked.ts";

export type PageQuestion = Readonly<{ limit: number; after: string | null }>;

type KeptColumns = Record<
  "id" | "createdAt" | "updatedAt" | "version" | "deletedAt" | "stamps",
  SQLiteColumn
>;
export type KeptRow = {
  id: string;
  createdAt: number;
  updatedAt: number;
  version: number;
  deletedAt: number | null;
  stamps: Stamps | null;
};

/** Which list it is, and who writes to it. */
export type Listed = Readonly<{ list: MergedList; writer: Writer }>;

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
  { list, writer }: Listed,
) {
  const log = editLog(db, { table: "thing_edits", of: "thing_id" });
  const accounts = accountsOf(list, log, writer);
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

  const anyById = whenAsked(() => db.select().from(table).where(eq(table.id, id)).prepare());
  const dropUnnamed = whenAsked(() =>
    db.$client.prepare(
      `DELETE FROM ${getTableName(table)} WHERE id = ? AND NOT ${isNamed(getTableName(table))}`,
    ),
  );
  const allDeleted = whenAsked(() =>
    db.select().from(table).where(isNotNull(table.deletedAt)).orderBy(sql`${table.deletedAt} DESC`).prepare(),
  );
  const withWords = whenAsked(() =>
    db.$client
      .prepare(
        `SELECT id FROM ${getTableName(table)} WHERE deleted_at < ? AND json_extract(stamps, '$.blanked') IS NOT 1 ORDER BY id`,
      )
      .pluck(),
  );
  const standing = rowCounter(db, table, isNull(table.deletedAt));
  /** Removed or not; who writes reads past what is remembered. */
  const rowOf = (wanted: string): Row | undefined => anyById().get({ id: wanted }) as Row | undefined;

  function write(wanted: string, columns: Record<string, unknown>): void {
    memory.forget();
    db.update(table)
      .set(columns as never)
      .where(eq(table.id, wanted))
      .run();
  }

  function raise(wanted: string): void {
    const row = rowOf(wanted);
    if (row) write(wanted, { deletedAt: null, stamps: accounts.raised(toThing(row), row) });
  }

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
    /** What it was before stays in its history. */
    replace(wanted: string, fields: Fields, now: string): void {
      const row = rowOf(wanted);
      if (row === undefined) return;
      const columns = toColumns(fields);
      const stamps = accounts.edited(toThing(row), toThing({ ...row, ...columns }), row, now);
      if (stamps === null) return;
      write(wanted, { ...columns, updatedAt: toMs(now), version: sql`version + 1`, stamps });
    },
    /** Something was put on it that is no field of it: a deletion elsewhere that had not heard of that is beaten. */
    noteHanging(wanted: string, what: "picture" | "mount" | "version", now: string): void {
      const row = rowOf(wanted);
      if (row) write(wanted, { stamps: accounts.written(toThing(row), row, what, now) });
    },
    remove(wanted: string, now: string): void {
      const row = rowOf(wanted);
      if (row) write(wanted, { deletedAt: toMs(now), stamps: accounts.deleted(toThing(row), row, now) });
    },
    restore(wanted: string): void {
      const row = rowOf(wanted);
      if (row?.deletedAt != null)
        write(wanted, { deletedAt: null, stamps: accounts.restored(toThing(row), row) });
    },
    /** All that is known of it, removed or not. */
    accountOf(wanted: string): ThingAccount | undefined {
      const row = rowOf(wanted);
      return row && accounts.accountOf(toThing(row), row);
    },
    /** Puts an account in, or in the place of the one that is here. */
    keepAccount(account: ThingAccount): void {
      const { id: wanted } = account;
      const columns = { ...toColumns(account.fields as Fields), ...columnsOfAccount(account) };
      if (rowOf(wanted)) write(wanted, columns);
      else {
        memory.forget();
        db.insert(table)
          .values({ ...columns, id: wanted } as never)
          .run();
      }
      log.keepEdits(wanted, account.edits);
    },
    editsOf: (wanted: string): StampedEdit[] => log.editsOf(wanted),
    /** Of whichever list but that of the attempts: their edits lie together. */
    editedSince: log.editedSince,
    /** The things whose account says more than their fields and times do. */
    told(): ReadonlySet<string> {
      const ids = db.$client.prepare(
        `SELECT id FROM ${getTableName(table)} WHERE stamps IS NOT NULL OR version > 1 OR deleted_at IS NOT NULL`,
      );
      return new Set(ids.pluck().all() as string[]);
    },
    removedIds(): readonly string[] {
      const ids = db.$client.prepare(
        `SELECT id FROM ${getTableName(table)} WHERE deleted_at IS NOT NULL ORDER BY id`,
      );
      return ids.pluck().all() as string[];
    },
    /** What was removed before a moment and still has its words. */
    removedBefore(then: string): readonly string[] {
      return withWords().all(toMs(then)) as string[];
    },
    /** Lets go of what nothing names any more; says whether it is gone. */
    forgetWhole(wanted: string): boolean {
      memory.forget();
      const { changes } = dropUnnamed().run(wanted);
      if (changes > 0) log.dropEdits(wanted);
      return changes > 0;
    },
    /** What was removed although something that stands names it. */
    namedThoughRemoved(): readonly string[] {
      const named = db.$client.prepare(
        `SELECT id FROM ${getTableName(table)} WHERE deleted_at IS NOT NULL AND ${isNamedByStanding(getTableName(table))}`,
      );
      return named.pluck().all() as string[];
    },
    /** Brings it back because something that stands names it. */
    raise,
    /** What was removed and can still be brought back, the latest first. */
    removed(): (Thing & { deletedAt: string })[] {
      return (allDeleted().all() as Row[]).map((row) => ({
        ...toThing(row),
        deletedAt: toInstant(row.deletedAt ?? 0),
      }));
    },
    count(): number {
      return standing();
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
  listed: Listed,
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
    ...keptStore<Row, Thing, Fields>(db, table, toThing, toColumns, memory, listed),
    page({ limit: most, after }: PageQuestion): Page<Thing> {
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

/** Things that belong to a build are listed newest first; those without a date, whose `age` is -1, come last. */
export function datedPages<Row extends KeptRow, Thing extends { id: string }>(
  db: Db,
  table: SQLiteTable & KeptColumns & { buildId: SQLiteColumn },
  age: SQL<number>,
  toThing: (row: Row) => Thing,
  orderOf: (thing: Thing) => number,
): (buildId: string, question: PageQuestion) => Page<Thing> {
  return (buildId, { limit: most, after }) => {
    const position = after === null ? { order: Number.MAX_SAFE_INTEGER, id: "~" } : positionOf(after, 0);
    const beyond = sql`(${age}, ${table.id}) < (${position.order}, ${position.id})`;
    const rows = db
      .select()
      .from(table)
      .where(and(eq(table.buildId, buildId), isNull(table.deletedAt), beyond))
      .orderBy(desc(age), desc(table.id))
      .limit(most + 1)
      .all() as Row[];
    return datedPage(rows.map(toThing), most, orderOf);
  };
}

export function datedPage<Thing extends { id: string }>(
  rows: readonly Thing[],
  most: number,
  orderOf: (thing: Thing) => number,
): Page<Thing> {
  const items = rows.slice(0, most);
  const last = items.at(-1);
  return { items, next: rows.length > most && last ? cursorOf({ order: orderOf(last), id: last.id }) : null };
}
