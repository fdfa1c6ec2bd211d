import { eq, getTableColumns, sql } from "drizzle-orm";
import type { ThingAccount } from "../../bench/document/account.ts";
import { mouldOf } from "../../bench/things/mould.ts";
import type { Kept } from "../../bench/things/thing.ts";
import { accountsOf, columnsOfAccount, type Writer } from "../rows/accounts.ts";
import { checksumOfAttempt } from "../rows/checksums.ts";
import { toMs } from "../rows/columns.ts";
import type { Db } from "../rows/db.ts";
import { editLog } from "../rows/editLog.ts";
import type { Memory } from "../rows/memory.ts";
import { attempts } from "../rows/schema.ts";
import { whenAsked, whenHeld } from "../rows/statements.ts";
import { attemptCounts } from "./attemptCounts.ts";
import { editStore } from "./attemptEdits.ts";
import { attemptLists } from "./attemptLists.ts";
import {
  type AttemptFields,
  type AttemptRow,
  fromJoined,
  type JoinedRow,
  joinedRows,
  toAttempt,
  toAttemptColumns,
} from "./attemptRow.ts";
import { gaveWayStore } from "./gaveWay.ts";
import { heartbeatStore } from "./heartbeats.ts";
import { outputStore } from "./outputs.ts";
import { triedRows } from "./triedRows.ts";

/** What a row holds besides its account: both follow from other things. */
export type AttemptPlace = Readonly<{ mountId: string; stateId: number }>;

export function attemptStore(db: Db, memory: Memory, writer: Writer) {
  const log = editLog(db, { table: "attempt_edits", of: "attempt_id" });
  const accounts = accountsOf("attempts", log, writer);
  const gaveWay = gaveWayStore(db, memory.forget);
  const anyById = whenAsked(() =>
    joinedRows(db)
      .where(eq(attempts.id, sql.placeholder("id")))
      .prepare(),
  );
  const insert = whenAsked(() => insertion(db));
  const isHeld = whenHeld(db, attempts);
  const drop = whenAsked(() => db.$client.prepare("DELETE FROM attempts WHERE id = ?"));
  /** Removed or not. */
  const rowOf = (wanted: string): JoinedRow | undefined => anyById().get({ id: wanted });

  const forgetAt = ({ id, buildId, startedAt }: RowPlace): void =>
    memory.forget(buildId, { at: toMs(startedAt), id });

  function write({ id, buildId, startedAt }: RowPlace, columns: Partial<AttemptRow>): void {
    forgetAt({ id, buildId, startedAt });
    forgetAt({ id, buildId, startedAt, ...columns });
    db.update(attempts).set(columns).where(eq(attempts.id, id)).run();
  }

  function raise(wanted: string): void {
    const row = rowOf(wanted);
    if (row) write(row.attempt, { deletedAt: null, stamps: accounts.raised(fromJoined(row), row.attempt) });
  }

  return {
    ...editStore(db, log),
    ...attemptCounts(db, memory),
    ...attemptLists(db, memory),
    ...triedRows(db, memory),
    ...heartbeatStore(db),
    ...outputStore(db, memory.forget),
    ...gaveWay,
    put({ id, version, createdAt, updatedAt }: Kept, fields: AttemptFields, stateId: number): void {
      const { buildId, startedAt } = fields;
      forgetAt({ id, buildId, startedAt });
      const times = { createdAt: toMs(createdAt), updatedAt: toMs(updatedAt) };
      insert()(toAttemptColumns(fields, stateId), { id, version, ...times });
    },
    holds: isHeld,
    stateIdOf(wanted: string): number | undefined {
      return db.select({ at: attempts.stateId }).from(attempts).where(eq(attempts.id, wanted)).get()?.at;
    },
    /** What it was before stays in its history. */
    replace(wanted: string, fields: AttemptFields, stateId: number, now: string): void {
      const row = rowOf(wanted);
      if (row === undefined) return;
      const columns = toAttemptColumns(fields, stateId);
      const after = toAttempt({ ...row.attempt, ...columns } as AttemptRow, row.parts);
      const stamps = accounts.edited(fromJoined(row), after, row.attempt, now);
      if (stamps === null) return;
      write(row.attempt, { ...columns, updatedAt: toMs(now), version: row.attempt.version + 1, stamps });
    },
    remove(wanted: string, now: string): void {
      const row = rowOf(wanted);
      if (!row) return;
      const stamps = accounts.deleted(fromJoined(row), row.attempt, now);
      write(row.attempt, { deletedAt: toMs(now), stamps });
    },
    restore(wanted: string): void {
      const row = rowOf(wanted);
      if (row?.attempt.deletedAt != null)
        write(row.attempt, { deletedAt: null, stamps: accounts.restored(fromJoined(row), row.attempt) });
    },
    raise,
    /** Notes that its trace or its output was written or taken away after it had ended. */
    noteHanging(wanted: string, what: "trace" | "output" | "picture", now: string): void {
      const row = rowOf(wanted);
      if (!row || row.attempt.outcome === "running") return;
      const stamps = accounts.written(fromJoined(row), row.attempt, what, now);
      write(row.attempt, { stamps });
    },
    /** All that is known of it, removed or not. */
    accountOf(wanted: string): ThingAccount | undefined {
      const row = rowOf(wanted);
      return row && accounts.accountOf(fromJoined(row), row.attempt);
    },
    isBlanked: (wanted: string): boolean => rowOf(wanted)?.attempt.stamps?.blanked ?? false,
    placeOf(wanted: string): AttemptPlace | undefined {
      const row = rowOf(wanted)?.attempt;
      return row && { mountId: row.mountId, stateId: row.stateId };
    },
    /** Puts an account in, or in the place of the one that is here. */
    keepAccount(account: ThingAccount, place: AttemptPlace): void {
      const { id: wanted } = account;
      const kept = columnsOfAccount(account);
      const { mountId, stateId } = place;
      const columns = toAttemptColumns({ ...account.fields, mountId } as AttemptFields, stateId);
      const row = rowOf(wanted);
      if (row) write(row.attempt, { ...columns, ...kept });
      else {
        const { deletedAt, stamps, ...times } = kept;
        forgetAt({ ...columns, id: wanted });
        insert()(columns, { id: wanted, ...times });
        if (deletedAt !== null || stamps !== null) write({ ...columns, id: wanted }, { deletedAt, stamps });
      }
      if (account.edits.length > 0 || kept.stamps !== null) log.keepEdits(wanted, account.edits);
    },
    /** The attempts of a build whose account says more than their fields and times do. */
    told(buildId: string): ReadonlySet<string> {
      const ids = db.$client.prepare(
        "SELECT id FROM attempts WHERE build_id = ? AND (stamps IS NOT NULL OR version > 1)",
      );
      return new Set(ids.pluck().all(buildId) as string[]);
    },
    removedIds(): readonly string[] {
      const ids = db.$client.prepare("SELECT id FROM attempts WHERE deleted_at IS NOT NULL ORDER BY id");
      return ids.pluck().all() as string[];
    },
    /** What was removed before a moment and still has its words. */
    removedBefore(then: string): readonly string[] {
      const ids = db.$client.prepare(
        "SELECT id FROM attempts WHERE deleted_at < ? AND json_extract(stamps, '$.blanked') IS NOT 1 ORDER BY +id",
      );
      return ids.pluck().all(toMs(then)) as string[];
    },
    /** Lets go of it with all that hangs on it. */
    forgetWhole(wanted: string): boolean {
      memory.forget();
      gaveWay.dropGaveWay(wanted);
      return drop().run(wanted).changes > 0;
    },
  };
}

/** What a row lies in order by, and in which list. */
type RowPlace = Pick<AttemptRow, "id" | "buildId" | "startedAt">;

type RowPart = Readonly<Record<string, unknown>>;

/**
 * Written by the driver itself, which takes the row as one object: laid out and bound column by column, a row this wide
 * costs as much again as the write.
 */
function insertion(db: Db): (fields: RowPart, kept: RowPart) => void {
  const { deletedAt: _, traced: __, stamps: ___, ...written } = getTableColumns(attempts);
  const columns = Object.entries(written);
  const names = columns.map(([, column]) => column.name).join(", ");
  const places = columns.map(([, column]) => `:${column.name}`).join(", ");
  const insert = db.$client.prepare(`INSERT INTO attempts (${names}) VALUES (${places})`);
  const blankRow = mouldOf(columns.map(([, { name }]) => name));
  return (fields, kept) => {
    const row = blankRow();
    for (const [key, column] of columns) {
      const value = fields[key] ?? kept[key];
      if (value != null) row[column.name] = column.mapToDriverValue(value);
    }
    row.checksum = checksumOfAttempt(row);
    insert.run(row);
  };
}
