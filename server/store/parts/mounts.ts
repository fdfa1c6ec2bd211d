import { and, eq, isNull, sql } from "drizzle-orm";
import type { Mount } from "../../bench/things/build.ts";
import type { Kept } from "../../bench/things/thing.ts";
import type { Writer } from "../rows/accounts.ts";
import { toInstantOrNull, toMs } from "../rows/columns.ts";
import type { Db } from "../rows/db.ts";
import { keptOf } from "../rows/keptRows.ts";
import type { Memory } from "../rows/memory.ts";
import { attempts, mounts } from "../rows/schema.ts";
import { rowCounter, whenAsked } from "../rows/statements.ts";
import { datedPages } from "../rows/thingPages.ts";
import { keptStore } from "../rows/thingStore.ts";

type Row = typeof mounts.$inferSelect;
type Fields = Omit<Mount, keyof Kept>;

const toMount = (row: Row): Mount => ({
  ...keptOf(row),
  buildId: row.buildId,
  mountedAt: toInstantOrNull(row.mountedAt),
  paste: row.paste,
  note: row.note,
});

const toColumns = (mount: Fields) => ({
  buildId: mount.buildId,
  mountedAt: mount.mountedAt === null ? null : toMs(mount.mountedAt),
  paste: mount.paste,
  note: mount.note,
});

/** A build's first mount has no date: it is older than any other. */
const age = sql<number>`ifnull(${mounts.mountedAt}, -1)`;
const orderOf = (mount: Mount) => (mount.mountedAt === null ? -1 : toMs(mount.mountedAt));

export function mountStore(db: Db, memory: Memory, attemptMemory: Memory, writer: Writer) {
  const oldestFirst = whenAsked(() =>
    db
      .select({ id: mounts.id, age })
      .from(mounts)
      .where(and(eq(mounts.buildId, sql.placeholder("build")), isNull(mounts.deletedAt)))
      .orderBy(age, mounts.id)
      .prepare(),
  );
  const standingOf = rowCounter(
    db,
    mounts,
    and(eq(mounts.buildId, sql.placeholder("build")), isNull(mounts.deletedAt)),
  );
  const used = (which: string) =>
    db.$client.prepare(`
      SELECT 1 FROM mounts d JOIN attempts a ON a.build_id = d.build_id
      WHERE d.id = ? AND ${which} AND a.deleted_at IS NULL AND ifnull(d.mounted_at, -1) <= a.started_at
        AND NOT EXISTS (SELECT 1 FROM mounts m WHERE m.build_id = d.build_id AND m.deleted_at IS NULL
          AND ifnull(m.mounted_at, -1) <= a.started_at
          AND (ifnull(m.mounted_at, -1), m.id) > (ifnull(d.mounted_at, -1), d.id))
      LIMIT 1`);
  return {
    ...keptStore<Row, Mount, Fields>(db, mounts, toMount, toColumns, memory, { list: "mounts", writer }),
    pageOf: datedPages<Row, Mount>(db, mounts, age, toMount, orderOf),
    /** The mount an attempt begun at that time belongs to: the latest before it, else the build's oldest. */
    at(buildId: string, startedAt: string): string {
      const mounted = memory.recall(`of ${buildId}`, () => oldestFirst().all({ build: buildId }));
      const at = toMs(startedAt);
      const found = mounted.findLast((mount) => mount.age <= at) ?? mounted[0];
      if (!found) throw new Error("A build has no mount.");
      return found.id;
    },
    /** After a mount has come, gone or moved, every attempt of the build belongs to the latest one before it, else to the oldest. */
    assignAgain(buildId: string): void {
      attemptMemory.forget(buildId);
      db.run(sql`
        UPDATE ${attempts} SET mount_id = ifnull(
          (SELECT m.id FROM ${mounts} m WHERE m.build_id = ${attempts}.build_id AND m.deleted_at IS NULL
             AND ifnull(m.mounted_at, -1) <= ${attempts}.started_at
           ORDER BY ifnull(m.mounted_at, -1) DESC, m.id DESC LIMIT 1),
          ifnull(
            (SELECT m.id FROM ${mounts} m WHERE m.build_id = ${attempts}.build_id AND m.deleted_at IS NULL
             ORDER BY ifnull(m.mounted_at, -1), m.id LIMIT 1),
            mount_id))
        WHERE build_id = ${buildId}`);
    },
    /** Those of a build that are removed. */
    removedOf(buildId: string): readonly string[] {
      const ids = db.$client.prepare(
        "SELECT id FROM mounts WHERE build_id = ? AND deleted_at IS NOT NULL ORDER BY ifnull(mounted_at, -1), id",
      );
      return ids.pluck().all(buildId) as string[];
    },
    /** Whether an attempt that was on a removed mount would be still if it stood. */
    isStillUsed: (mountId: string): boolean => used("a.mount_id = d.id").get(mountId) !== undefined,
    /** Whether this attempt would be on it if it stood. */
    wouldHold: (mountId: string, attemptId: string): boolean =>
      used("a.id = ?").get(mountId, attemptId) !== undefined,
    countOf(buildId: string): number {
      return standingOf({ build: buildId });
    },
    all(): Mount[] {
      return db.select().from(mounts).where(isNull(mounts.deletedAt)).orderBy(mounts.id).all().map(toMount);
    },
  };
}
