import { and, eq, getTableName, isNotNull, sql } from "drizzle-orm";
import type { Kept } from "../../bench/things/thing.ts";
import { toInstant, toMs } from "./columns.ts";
import type { Db } from "./db.ts";
import type { editLog } from "./editLog.ts";
import type { KeptRow, KeptTable } from "./keptRows.ts";
import type { Memory } from "./memory.ts";
import { isNamed, isNamedByStanding } from "./referrers.ts";
import { whenAsked } from "./statements.ts";

type Removed<Thing> = Thing & { deletedAt: string };

/** What was removed from a list: it can be brought back for a while, and lets go of its row once nothing names it. */
export function removedThings<Row extends KeptRow, Thing extends Kept>(
  db: Db,
  table: KeptTable,
  toThing: (row: Row) => Thing,
  memory: Memory,
  log: ReturnType<typeof editLog>,
) {
  const name = getTableName(table);
  const byId = whenAsked(() =>
    db
      .select()
      .from(table)
      .where(and(eq(table.id, sql.placeholder("id")), isNotNull(table.deletedAt)))
      .prepare(),
  );
  const latestFirst = whenAsked(() =>
    db.select().from(table).where(isNotNull(table.deletedAt)).orderBy(sql`${table.deletedAt} DESC`).prepare(),
  );
  const withWords = whenAsked(() =>
    db.$client
      .prepare(
        `SELECT id FROM ${name} WHERE deleted_at < ? AND json_extract(stamps, '$.blanked') IS NOT 1 ORDER BY id`,
      )
      .pluck(),
  );
  const dropUnnamed = whenAsked(() =>
    db.$client.prepare(`DELETE FROM ${name} WHERE id = ? AND NOT ${isNamed(name)}`),
  );
  const toRemoved = (row: Row): Removed<Thing> => ({
    ...toThing(row),
    deletedAt: toInstant(row.deletedAt ?? 0),
  });

  return {
    findDeleted(wanted: string): Removed<Thing> | undefined {
      const row = byId().get({ id: wanted }) as Row | undefined;
      return row && toRemoved(row);
    },
    /** What was removed and can still be brought back, the latest first. */
    removed(): Removed<Thing>[] {
      return (latestFirst().all() as Row[]).map(toRemoved);
    },
    removedIds(): readonly string[] {
      const ids = db.$client.prepare(`SELECT id FROM ${name} WHERE deleted_at IS NOT NULL ORDER BY id`);
      return ids.pluck().all() as string[];
    },
    /** What was removed before a moment and still has its words. */
    removedBefore(then: string): readonly string[] {
      return withWords().all(toMs(then)) as string[];
    },
    /** What was removed although something that stands names it. */
    namedThoughRemoved(): readonly string[] {
      const named = db.$client.prepare(
        `SELECT id FROM ${name} WHERE deleted_at IS NOT NULL AND ${isNamedByStanding(name)}`,
      );
      return named.pluck().all() as string[];
    },
    /** Lets go of what nothing names any more; says whether it is gone. */
    forgetWhole(wanted: string): boolean {
      memory.forget();
      const { changes } = dropUnnamed().run(wanted);
      if (changes > 0) log.dropEdits(wanted);
      return changes > 0;
    },
  };
}
