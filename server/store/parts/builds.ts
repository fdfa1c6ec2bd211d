import { and, desc, eq, isNull, sql } from "drizzle-orm";
import type { SQLiteColumn } from "drizzle-orm/sqlite-core";
import { blankParts } from "../../bench/document/registers.ts";
import { type Build, type Parts, partsOf } from "../../bench/things/build.ts";
import type { Kept } from "../../bench/things/thing.ts";
import type { Writer } from "../rows/accounts.ts";
import type { Db } from "../rows/db.ts";
import { keptOf } from "../rows/keptRows.ts";
import type { Memory } from "../rows/memory.ts";
import { buildStates, builds } from "../rows/schema.ts";
import { rowCounter, whenAsked } from "../rows/statements.ts";
import { namedStore } from "../rows/thingStore.ts";

type Row = typeof builds.$inferSelect;
type Fields = Omit<Build, keyof Kept>;

const fieldsOf = (build: Fields): Fields => ({
  name: build.name,
  chipId: build.chipId,
  boardId: build.boardId,
  ...partsOf(build),
  basedOn: build.basedOn,
  change: build.change,
  hottestAmbientC: build.hottestAmbientC,
  supplyEfficiencyPct: build.supplyEfficiencyPct ?? null,
  ruleId: build.ruleId,
  use: build.use,
  goal: build.goal,
  note: build.note,
});

const toBuild = (row: Row): Build => ({ ...keptOf(row), ...fieldsOf(row) });

export function buildStore(db: Db, memory: Memory, attemptMemory: Memory, writer: Writer) {
  const lastState = whenAsked(() =>
    db
      .select()
      .from(buildStates)
      .where(eq(buildStates.buildId, sql.placeholder("build")))
      .orderBy(desc(buildStates.id))
      .limit(1)
      .prepare(),
  );
  const byChip = whenAsked(() =>
    db
      .select()
      .from(builds)
      .where(and(eq(builds.chipId, sql.placeholder("chip")), isNull(builds.deletedAt)))
      .orderBy(builds.name, builds.id)
      .prepare(),
  );
  const countedBy = (column: SQLiteColumn) =>
    rowCounter(db, builds, and(eq(column, sql.placeholder("named")), isNull(builds.deletedAt)));
  const using = {
    chipId: countedBy(builds.chipId),
    boardId: countedBy(builds.boardId),
    ruleId: countedBy(builds.ruleId),
    basedOn: countedBy(builds.basedOn),
  };
  return {
    ...namedStore<Row, Build, Fields>(db, builds, toBuild, fieldsOf, memory, { list: "builds", writer }),
    /** The state the build is in now; a new one is written when its parts have changed since the last. */
    stateOf(build: Pick<Build, "id"> & Parts): number {
      const parts = partsOf(build);
      const last = memory.recall(`state of ${build.id}`, () => {
        const row = lastState().get({ build: build.id });
        return row && { id: row.id, text: JSON.stringify(row.parts) };
      });
      if (last?.text === JSON.stringify(parts)) return last.id;
      memory.forget();
      return Number(db.insert(buildStates).values({ buildId: build.id, parts }).run().lastInsertRowid);
    },
    statesOf(buildId: string): ReadonlyMap<number, Parts> {
      const rows = db.select().from(buildStates).where(eq(buildStates.buildId, buildId)).all();
      return new Map(rows.map((row) => [row.id, row.parts]));
    },
    /** Takes the words out of all that its parts ever were; its attempts tell of those. */
    blankStates(buildId: string): void {
      memory.forget();
      attemptMemory.forget(buildId);
      db.update(buildStates).set({ parts: blankParts }).where(eq(buildStates.buildId, buildId)).run();
    },
    /** Whether anything belongs to it, removed or not. */
    holdsAny(buildId: string): boolean {
      const lists = ["attempts", "noise_readings", "mounts", "build_versions", "pictures"];
      const any = lists.map((list) => `EXISTS (SELECT 1 FROM ${list} WHERE build_id = :id)`).join(" OR ");
      return db.$client.prepare(`SELECT ${any}`).pluck().get({ id: buildId }) === 1;
    },
    /** Builds that would be left hanging if the named thing went. */
    countUsing(
      thing: Readonly<{ chipId: string } | { boardId: string } | { ruleId: string } | { basedOn: string }>,
    ) {
      const [[column, id]] = Object.entries(thing) as [["chipId" | "boardId" | "ruleId" | "basedOn", string]];
      return using[column]({ named: id });
    },
    ofChip(chipId: string): readonly Build[] {
      return memory.recall(`of chip ${chipId}`, () => byChip().all({ chip: chipId }).map(toBuild));
    },
  };
}
