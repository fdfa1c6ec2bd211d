import { and, asc, desc, eq, getTableColumns, isNotNull, isNull, type SQL, sql } from "drizzle-orm";
import type { ThingAccount } from "../../bench/document/account.ts";
import { type RunRow, runFields, type TaggedRun } from "../../bench/runs/runRow.ts";
import type { Attempt } from "../../bench/things/attempt.ts";
import type { Parts } from "../../bench/things/build.ts";
import { type EvidenceRow, evidenceFields, type TriedRow } from "../../bench/things/evidenceRow.ts";
import { rowsMemory } from "../../bench/things/rowsMemory.ts";
import { type AsSet, isSetByClock, type Setting } from "../../bench/things/setting.ts";
import type { Kept, Page } from "../../bench/things/thing.ts";
import { accountsOf, columnsOfAccount, type Writer } from "../rows/accounts.ts";
import { checksumOfAttempt } from "../rows/checksums.ts";
import { toInstant, toMs, toThousandths } from "../rows/columns.ts";
import { positionOf } from "../rows/cursor.ts";
import type { Db } from "../rows/db.ts";
import { editLog } from "../rows/editLog.ts";
import type { Memory } from "../rows/memory.ts";
import { rowCounter } from "../rows/rowCounter.ts";
import { attempts, buildStates, builds } from "../rows/schema.ts";
import { datedPage, type PageQuestion, whenHeld } from "../rows/thingStore.ts";
import { whenAsked } from "../rows/whenAsked.ts";
import { attemptCounts } from "./attemptCounts.ts";
import { editStore } from "./attemptEdits.ts";
import { type AttemptFields, type AttemptRow, toAttempt, toAttemptColumns } from "./attemptRow.ts";
import { gaveWayStore } from "./gaveWay.ts";
import { heartbeatStore } from "./heartbeats.ts";
import { outputStore } from "./outputs.ts";
import { slimReader } from "./slimReader.ts";

/** The narrowing of a list of attempts to those behind one figure; all of it optional. */
export type AttemptsQuestion = PageQuestion &
  Readonly<{
    clockMhz?: number | undefined;
    voltageMv?: number | undefined;
    /** With a part, where that part stood, whoever was set; only attempts that it ran in or failed. */
    offset?: number | undefined;
    part?: string | undefined;
    workloadId?: string | undefined;
    outcome?: Attempt["outcome"] | undefined;
  }>;

/** What a row holds besides its account: both follow from other things. */
export type AttemptPlace = Readonly<{ mountId: string; stateId: number }>;

/** In the words of the index of those, without which SQLite would go through all attempts for them. */
const stillRunning = sql`${attempts.outcome} = 'running' AND ${attempts.deletedAt} IS NULL`;

export function attemptStore(db: Db, memory: Memory, writer: Writer) {
  const log = editLog(db, { table: "attempt_edits", of: "attempt_id" });
  const accounts = accountsOf("attempts", log, writer);
  const gaveWay = gaveWayStore(db, memory.forget);
  const columns = { attempt: attempts, parts: buildStates.parts };
  const id = sql.placeholder("id");
  const joined = () =>
    db.select(columns).from(attempts).innerJoin(buildStates, eq(buildStates.id, attempts.stateId));
  const byId = whenAsked(() =>
    joined()
      .where(and(eq(attempts.id, id), isNull(attempts.deletedAt)))
      .prepare(),
  );
  const deletedById = whenAsked(() =>
    joined()
      .where(and(eq(attempts.id, id), isNotNull(attempts.deletedAt)))
      .prepare(),
  );
  const newest = [desc(attempts.startedAt), desc(attempts.id)] as const;
  const pageStart = whenAsked(() =>
    joined()
      .where(and(eq(attempts.buildId, sql.placeholder("build")), isNull(attempts.deletedAt)))
      .orderBy(...newest)
      .limit(sql.placeholder("limit"))
      .prepare(),
  );
  const running = whenAsked(() =>
    joined()
      .where(and(eq(attempts.buildId, sql.placeholder("build")), stillRunning))
      .prepare(),
  );
  const allRunning = whenAsked(() =>
    joined()
      .where(stillRunning)
      .orderBy(...newest)
      .prepare(),
  );
  const recordedLast = whenAsked(() =>
    joined().where(isNull(attempts.deletedAt)).orderBy(desc(attempts.id)).limit(1).prepare(),
  );
  const insert = whenAsked(() => insertion(db));
  /** All less the few that were deleted: both stand in an index, so that no row need be read. */
  const ofBuild = eq(attempts.buildId, sql.placeholder("build"));
  const allOf = rowCounter(db, attempts, ofBuild);
  const deletedOf = rowCounter(db, attempts, and(ofBuild, isNotNull(attempts.deletedAt)));
  const standingOf = (asked: Readonly<{ build: string }>): number => allOf(asked) - deletedOf(asked);
  const countOf = (buildId: string): number => memory.tally(buildId, () => standingOf({ build: buildId }));
  /** The deleted among them: attempts that stand on one count. */
  const everyBuild = whenAsked(() => db.select({ id: builds.id }).from(builds).prepare());
  const buildsOfAll = (): readonly string[] =>
    everyBuild()
      .all()
      .map(({ id }) => id);

  /** The first page of a build's attempts, newest first. */
  const newestOf = (buildId: string, limit: number): Page<Attempt> =>
    memory.recall(
      `newest ${limit}`,
      () => pageOfRows(pageStart().all({ build: buildId, limit: limit + 1 }), limit),
      buildId,
    );
  const readEvidence = slimReader(db, [...evidenceFields, "traced"]);
  const readRuns = slimReader(db, [...runFields, "traced"]);
  /** What counts of a build's attempts, oldest first: the same array until one of them changes. */
  const triedOf = (buildId: string): readonly TriedRow[] =>
    memory.recallRows("tried", readEvidence.rowsOf(buildId), buildId);
  const taggedRunsOf = (buildId: string): readonly TaggedRun[] =>
    memory.recallRows("tagged", readRuns.rowsOf(buildId), buildId);

  const isHeld = whenHeld(db, attempts);
  const anyById = whenAsked(() => joined().where(eq(attempts.id, id)).prepare());
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
    ...heartbeatStore(db),
    ...outputStore(db, memory.forget),
    ...gaveWay,
    triedOf,
    /** The same, read a slice each time it is gone on with. */
    triedInTurn: (buildId: string): Generator<undefined, readonly TriedRow[]> =>
      memory.recallInTurn("tried", readEvidence.slicesOf(buildId), buildId),
    /** Of those the ones set by clock and voltage; the same array where all are. */
    evidenceOf: (buildId: string): readonly EvidenceRow[] => byClock(triedOf(buildId)),
    /** The same attempts with more of their fields, for comparing. */
    runsOf: (buildId: string): readonly RunRow[] => byClock(taggedRunsOf(buildId)),
    /** And those set by an offset, for what does not ask for a clock. */
    taggedRunsOf,
    put(kept: Kept, fields: AttemptFields): void {
      const { id, version } = kept;
      forgetAt({ ...fields, id });
      const times = { createdAt: toMs(kept.createdAt), updatedAt: toMs(kept.updatedAt) };
      insert()(Object.assign(toAttemptColumns(fields), { id, version, ...times }));
    },
    find(wanted: string): Attempt | undefined {
      const row = byId().get({ id: wanted });
      return row && toAttempt(row.attempt, row.parts);
    },
    /** Those of these that stand, read at once. */
    some: (wanted: readonly string[]): readonly Attempt[] =>
      joined()
        .where(
          and(
            sql`${attempts.id} IN (SELECT value FROM json_each(${JSON.stringify(wanted)}))`,
            isNull(attempts.deletedAt),
          ),
        )
        .all()
        .map(({ attempt, parts }) => toAttempt(attempt, parts)),
    holds: isHeld,
    findDeleted(wanted: string): (Attempt & { deletedAt: string }) | undefined {
      const row = deletedById().get({ id: wanted });
      return (
        row && { ...toAttempt(row.attempt, row.parts), deletedAt: toInstant(row.attempt.deletedAt ?? 0) }
      );
    },
    stateIdOf(wanted: string): number | undefined {
      return db.select({ at: attempts.stateId }).from(attempts).where(eq(attempts.id, wanted)).get()?.at;
    },
    /** What it was before stays in its history. */
    replace(wanted: string, fields: AttemptFields, now: string): void {
      const row = rowOf(wanted);
      if (row === undefined) return;
      const columns = toAttemptColumns(fields);
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
      const columns = toAttemptColumns({ ...account.fields, ...place } as AttemptFields);
      const row = rowOf(wanted);
      if (row) write(row.attempt, { ...columns, ...kept });
      else {
        const { deletedAt, stamps, ...times } = kept;
        forgetAt({ ...columns, id: wanted });
        insert()(Object.assign(columns, { id: wanted, ...times }));
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
    /** The latest removed, as many as asked for. */
    removed(most: number): (Attempt & { deletedAt: string })[] {
      return joined()
        .where(isNotNull(attempts.deletedAt))
        .orderBy(desc(attempts.deletedAt))
        .limit(most)
        .all()
        .map((row) => ({ ...fromJoined(row), deletedAt: toInstant(row.attempt.deletedAt ?? 0) }));
    },
    newestOf,
    pageOf(buildId: string, wanted: AttemptsQuestion): Page<Attempt> {
      const { limit, after } = wanted;
      if (after === null && !isNarrowed(wanted)) return newestOf(buildId, limit);
      const rows = joined()
        .where(narrowing(buildId, wanted))
        .orderBy(...newest)
        .limit(limit + 1)
        .all();
      return pageOfRows(rows, limit);
    },
    /** Every attempt of a build, oldest first. */
    allOf(buildId: string): Attempt[] {
      return joined()
        .where(and(eq(attempts.buildId, buildId), isNull(attempts.deletedAt)))
        .orderBy(asc(attempts.startedAt), asc(attempts.id))
        .all()
        .map(fromJoined);
    },
    /** The same, a few hundred in memory at a time. */
    *eachOf(buildId: string): Generator<Attempt> {
      const own = and(eq(attempts.buildId, buildId), isNull(attempts.deletedAt));
      let beyond: SQL | undefined;
      for (;;) {
        const rows = joined()
          .where(and(own, beyond))
          .orderBy(asc(attempts.startedAt), asc(attempts.id))
          .limit(pageRead)
          .all();
        yield* rows.map(fromJoined);
        const last = rows.at(-1)?.attempt;
        if (last === undefined || rows.length < pageRead) return;
        beyond = sql`(${attempts.startedAt}, ${attempts.id}) > (${toMs(last.startedAt)}, ${last.id})`;
      }
    },
    all(): Attempt[] {
      return joined().where(isNull(attempts.deletedAt)).orderBy(asc(attempts.id)).all().map(fromJoined);
    },
    running: (): Attempt[] => allRunning().all().map(fromJoined),
    runningIds(): string[] {
      return db
        .select({ id: attempts.id })
        .from(attempts)
        .where(stillRunning)
        .all()
        .map(({ id }) => id);
    },
    runningOf(buildId: string): Attempt | undefined {
      const [row] = running().all({ build: buildId });
      return row && fromJoined(row);
    },
    /** The attempt recorded last, whichever build it is of: ids are made in order of time. */
    newest: (): Attempt | undefined => recordedLast().all().map(fromJoined).at(0),
    countOf,
    /** Added up, so that of a long journal only what was written to is counted again. */
    count: (): number => buildsOfAll().reduce((sum, buildId) => sum + countOf(buildId), 0),
  };
}

const setByClock = rowsMemory<readonly (AsSet & Setting)[]>();
const byClock = <Row extends AsSet>(rows: readonly Row[]): readonly (Row & Setting)[] =>
  setByClock(rows, null, () =>
    rows.every(isSetByClock) ? rows : rows.filter(isSetByClock),
  ) as readonly (Row & Setting)[];

const pageRead = 300;

/** What a row lies in order by, and in which list. */
type RowPlace = Pick<AttemptRow, "id" | "buildId" | "startedAt">;

type JoinedRow = { attempt: AttemptRow; parts: Parts };
const fromJoined = (row: JoinedRow): Attempt => toAttempt(row.attempt, row.parts);

const pageOfRows = (rows: readonly JoinedRow[], limit: number): Page<Attempt> =>
  datedPage(rows.map(fromJoined), limit, (attempt) => toMs(attempt.startedAt));

const isNarrowed = (wanted: AttemptsQuestion): boolean =>
  wanted.clockMhz !== undefined ||
  wanted.voltageMv !== undefined ||
  wanted.offset !== undefined ||
  wanted.part !== undefined ||
  wanted.workloadId !== undefined ||
  wanted.outcome !== undefined;

const speaksOf = (part: string): SQL =>
  sql`(coalesce(${attempts.part}, ${part}) = ${part} OR ${attempts.crashPart} = ${part})`;

/** Where a part stood, or the whole chip, as `offsetOfPart` has it; in thousandths, for offsets by part lie as they were sent. */
const levelOf = (part: string | undefined): SQL =>
  part === undefined
    ? sql`${attempts.offset}`
    : sql`coalesce(
        (SELECT round(value * 1000) FROM json_each(${attempts.offsets}) WHERE key = ${part}),
        CASE WHEN coalesce(${attempts.part}, ${part}) = ${part}
          THEN coalesce(${attempts.offset}, CASE WHEN ${attempts.offsets} IS NULL THEN NULL ELSE 0 END)
          ELSE 0 END)`;

function narrowing(buildId: string, wanted: AttemptsQuestion): SQL | undefined {
  const at = wanted.after === null ? undefined : positionOf(wanted.after, 0);
  return and(
    eq(attempts.buildId, buildId),
    isNull(attempts.deletedAt),
    at && sql`(${attempts.startedAt}, ${attempts.id}) < (${at.order}, ${at.id})`,
    wanted.clockMhz === undefined ? undefined : eq(attempts.clockMhz, wanted.clockMhz),
    wanted.voltageMv === undefined ? undefined : eq(attempts.voltageMv, wanted.voltageMv),
    wanted.part === undefined ? undefined : speaksOf(wanted.part),
    wanted.offset === undefined ? undefined : sql`${levelOf(wanted.part)} = ${toThousandths(wanted.offset)}`,
    wanted.workloadId === undefined ? undefined : eq(attempts.workloadId, wanted.workloadId),
    wanted.outcome === undefined ? undefined : eq(attempts.outcome, wanted.outcome),
  );
}

/**
 * Written by the driver itself, which takes the row as one object: laid out and bound column by column, a row this wide
 * costs as much again as the write.
 */
function insertion(db: Db): (fields: Readonly<Record<string, unknown>>) => void {
  const { deletedAt: _, traced: __, stamps: ___, ...written } = getTableColumns(attempts);
  const columns = Object.entries(written);
  const names = columns.map(([, column]) => column.name).join(", ");
  const places = columns.map(([, column]) => `:${column.name}`).join(", ");
  const insert = db.$client.prepare(`INSERT INTO attempts (${names}) VALUES (${places})`);
  return (fields) => {
    const row: Record<string, unknown> = {};
    for (const [key, column] of columns)
      row[column.name] = fields[key] == null ? null : column.mapToDriverValue(fields[key]);
    row.checksum = checksumOfAttempt(row);
    insert.run(row);
  };
}
