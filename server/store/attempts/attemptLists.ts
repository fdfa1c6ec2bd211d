import { and, asc, desc, eq, isNotNull, isNull, type SQL, sql } from "drizzle-orm";
import type { Attempt } from "../../bench/things/attempt.ts";
import type { Page } from "../../bench/things/thing.ts";
import { toInstant, toMs, toThousandths } from "../rows/columns.ts";
import { positionOf } from "../rows/cursor.ts";
import type { Db } from "../rows/db.ts";
import type { Memory } from "../rows/memory.ts";
import { attempts } from "../rows/schema.ts";
import { whenAsked } from "../rows/statements.ts";
import { listPage, type PageQuestion } from "../rows/thingPages.ts";
import { fromJoined, type JoinedRow, joinedRows } from "./attemptRow.ts";
import { oldestFirst } from "./countedRows.ts";

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

/** In the words of the index of those, without which SQLite would go through all attempts for them. */
const stillRunning = sql`${attempts.outcome} = 'running' AND ${attempts.deletedAt} IS NULL`;

const newest = [desc(attempts.startedAt), desc(attempts.id)] as const;

/** Whole attempts, one by one and in lists. */
export function attemptLists(db: Db, memory: Memory) {
  const id = sql.placeholder("id");
  const joined = () => joinedRows(db);
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

  /** The first page of a build's attempts, newest first. */
  const newestOf = (buildId: string, limit: number): Page<Attempt> =>
    memory.recall(
      `newest ${limit}`,
      () => pageOfRows(pageStart().all({ build: buildId, limit: limit + 1 }), limit),
      buildId,
    );

  return {
    find(wanted: string): Attempt | undefined {
      const row = byId().get({ id: wanted });
      return row && fromJoined(row);
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
        .map(fromJoined),
    findDeleted(wanted: string): (Attempt & { deletedAt: string }) | undefined {
      const row = deletedById().get({ id: wanted });
      return row && { ...fromJoined(row), deletedAt: toInstant(row.attempt.deletedAt ?? 0) };
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
        .orderBy(...oldestFirst)
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
          .orderBy(...oldestFirst)
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
  };
}

const pageRead = 300;

const pageOfRows = (rows: readonly JoinedRow[], limit: number): Page<Attempt> =>
  listPage(rows.map(fromJoined), limit, (attempt) => toMs(attempt.startedAt));

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
