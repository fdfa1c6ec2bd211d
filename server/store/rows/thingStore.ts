import { and, asc, eq, getTableName, isNull, type SQL, sql } from "drizzle-orm";
import type { SQLiteColumn, SQLiteTable } from "drizzle-orm/sqlite-core";
import type { StampedEdit, ThingAccount } from "../../bench/document/account.ts";
import type { MergedList } from "../../bench/document/registers.ts";
import type { Kept, Page } from "../../bench/things/thing.ts";
import { accountsOf, columnsOfAccount, type Writer } from "./accounts.ts";
import { toMs } from "./columns.ts";
import { positionOf } from "./cursor.ts";
import type { Db } from "./db.ts";
import { editLog } from "./editLog.ts";
import { type KeptRow, type KeptTable, keptRows } from "./keptRows.ts";
import type { Memory } from "./memory.ts";
import { removedThings } from "./removedThings.ts";
import { rowCounter, whenAsked, whenHeld } from "./statements.ts";
import { listPage, type PageQuestion } from "./thingPages.ts";

/** Which list it is, and who writes to it. */
export type Listed = Readonly<{ list: MergedList; writer: Writer }>;

/** What every list of things can do, whatever the thing: found, added, replaced, removed and brought back. */
export function keptStore<Row extends KeptRow, Thing extends Kept, Fields>(
  db: Db,
  table: KeptTable,
  toThing: (row: Row) => Thing,
  toColumns: (fields: Fields) => Record<string, unknown>,
  memory: Memory,
  { list, writer }: Listed,
) {
  const log = editLog(db, { table: "thing_edits", of: "thing_id" });
  const accounts = accountsOf(list, log, writer);
  const rows = keptRows<Row>(db, table, memory);
  const standing = isNull(table.deletedAt);
  const byId = whenAsked(() =>
    db
      .select()
      .from(table)
      .where(and(eq(table.id, sql.placeholder("id")), standing))
      .prepare(),
  );
  const counted = rowCounter(db, table, standing);

  return {
    ...removedThings<Row, Thing>(db, table, toThing, memory, log),
    find(wanted: string): Thing | undefined {
      return memory.recall(wanted, () => {
        const row = byId().get({ id: wanted }) as Row | undefined;
        return row && toThing(row);
      });
    },
    /** Whether there is such a thing, removed or not. */
    holds: whenHeld(db, table),
    count: (): number => counted(),
    /** Puts in a thing as it is: new with version 1, or from another journal with its own. */
    put({ id, createdAt, updatedAt, version }: Kept, fields: Fields): void {
      const times = { createdAt: toMs(createdAt), updatedAt: toMs(updatedAt) };
      rows.add(id, { ...toColumns(fields), ...times, version });
    },
    /** What it was before stays in its history. */
    replace(wanted: string, fields: Fields, now: string): void {
      const row = rows.find(wanted);
      if (row === undefined) return;
      const columns = toColumns(fields);
      const stamps = accounts.edited(toThing(row), toThing({ ...row, ...columns }), row, now);
      if (stamps === null) return;
      rows.write(wanted, { ...columns, updatedAt: toMs(now), version: sql`version + 1`, stamps });
    },
    /** Something was put on it that is no field of it: a deletion elsewhere that had not heard of that is beaten. */
    noteHanging(wanted: string, what: "picture" | "mount" | "version", now: string): void {
      const row = rows.find(wanted);
      if (row) rows.write(wanted, { stamps: accounts.written(toThing(row), row, what, now) });
    },
    remove(wanted: string, now: string): void {
      const row = rows.find(wanted);
      if (row) rows.write(wanted, { deletedAt: toMs(now), stamps: accounts.deleted(toThing(row), row, now) });
    },
    restore(wanted: string): void {
      const row = rows.find(wanted);
      if (row?.deletedAt != null)
        rows.write(wanted, { deletedAt: null, stamps: accounts.restored(toThing(row), row) });
    },
    /** Brings it back because something that stands names it. */
    raise(wanted: string): void {
      const row = rows.find(wanted);
      if (row) rows.write(wanted, { deletedAt: null, stamps: accounts.raised(toThing(row), row) });
    },
    /** All that is known of it, removed or not. */
    accountOf(wanted: string): ThingAccount | undefined {
      const row = rows.find(wanted);
      return row && accounts.accountOf(toThing(row), row);
    },
    /** Puts an account in, or in the place of the one that is here. */
    keepAccount(account: ThingAccount): void {
      const { id } = account;
      const columns = { ...toColumns(account.fields as Fields), ...columnsOfAccount(account) };
      if (rows.find(id)) rows.write(id, columns);
      else rows.add(id, columns);
      log.keepEdits(id, account.edits);
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
  };
}

/** Things that have a name are listed by it. */
export function namedStore<
  Row extends KeptRow & { name: string },
  Thing extends Kept & { name: string },
  Fields,
>(
  db: Db,
  table: KeptTable & { name: SQLiteColumn },
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
      return listPage(rows.map(toThing), most, ({ name }) => name);
    },
    all(): readonly Thing[] {
      return memory.recall("all", () => (first().all({ limit: -1 }) as unknown as Row[]).map(toThing));
    },
  };
}
