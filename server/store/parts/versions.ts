import { and, asc, eq, isNull, sql } from "drizzle-orm";
import type { Kept } from "../../bench/things/thing.ts";
import type { Version } from "../../bench/things/version.ts";
import type { Writer } from "../rows/accounts.ts";
import { toInstantOrNull, toMs } from "../rows/columns.ts";
import type { Db } from "../rows/db.ts";
import { keptOf } from "../rows/keptRows.ts";
import type { Memory } from "../rows/memory.ts";
import { buildVersions } from "../rows/schema.ts";
import { whenAsked } from "../rows/statements.ts";
import { datedPages } from "../rows/thingPages.ts";
import { keptStore } from "../rows/thingStore.ts";

type Row = typeof buildVersions.$inferSelect;
type Fields = Omit<Version, keyof Kept>;

const toVersion = (row: Row): Version => ({
  ...keptOf(row),
  buildId: row.buildId,
  of: row.of,
  name: row.name,
  since: toInstantOrNull(row.since),
  note: row.note,
});

const toColumns = (version: Fields) => ({
  buildId: version.buildId,
  of: version.of,
  name: version.name,
  since: version.since === null ? null : toMs(version.since),
  note: version.note,
});

/** A version without a date is older than any other. */
const age = sql<number>`ifnull(${buildVersions.since}, -1)`;
const orderOf = (version: Version) => (version.since === null ? -1 : toMs(version.since));

/** Firmware and driver versions of builds; what is remembered of attempts rests on them. */
export function versionStore(db: Db, memory: Memory, writer: Writer) {
  const oldestFirst = whenAsked(() =>
    db
      .select()
      .from(buildVersions)
      .where(and(eq(buildVersions.buildId, sql.placeholder("build")), isNull(buildVersions.deletedAt)))
      .orderBy(asc(age), asc(buildVersions.id))
      .prepare(),
  );
  return {
    ...keptStore<Row, Version, Fields>(db, buildVersions, toVersion, toColumns, memory, {
      list: "versions",
      writer,
    }),
    pageOf: datedPages<Row, Version>(db, buildVersions, age, toVersion, orderOf),
    /** All of a build, oldest first. */
    allOf: (buildId: string): readonly Version[] =>
      memory.recall(`of ${buildId}`, () => oldestFirst().all({ build: buildId }).map(toVersion)),
    all: (): Version[] =>
      db
        .select()
        .from(buildVersions)
        .where(isNull(buildVersions.deletedAt))
        .orderBy(buildVersions.id)
        .all()
        .map(toVersion),
  };
}
