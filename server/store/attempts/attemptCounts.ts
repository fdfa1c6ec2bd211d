import { and, count, eq, isNotNull, isNull, sql } from "drizzle-orm";
import type { Db } from "../rows/db.ts";
import type { Memory } from "../rows/memory.ts";
import { attempts, builds } from "../rows/schema.ts";
import { rowCounter, whenAsked } from "../rows/statements.ts";

type SetEver = Readonly<{ knobs: ReadonlySet<string>; clock: boolean; voltage: boolean }>;

/** How many attempts there are and stand on what, those of deleted builds among them: counted once for all that is asked of one record. */
export function attemptCounts(db: Db, memory: Memory) {
  const byLoad = whenAsked(() =>
    db
      .select({ of: attempts.workloadId, count: count() })
      .from(attempts)
      .where(isNull(attempts.deletedAt))
      .groupBy(attempts.workloadId)
      .prepare(),
  );
  const byMount = whenAsked(() =>
    db
      .select({ of: attempts.mountId, count: count() })
      .from(attempts)
      .where(and(eq(attempts.buildId, sql.placeholder("build")), isNull(attempts.deletedAt)))
      .groupBy(attempts.mountId)
      .prepare(),
  );
  const knobsOf = whenAsked(() =>
    db.$client
      .prepare(
        "SELECT DISTINCT key FROM attempts, json_each(knobs) WHERE build_id = ? AND deleted_at IS NULL AND knobs IS NOT NULL",
      )
      .pluck(),
  );
  const axesOf = whenAsked(() =>
    db
      .select({
        clock: sql`count(${attempts.clockMhz})`.mapWith(Boolean),
        voltage: sql`count(${attempts.voltageMv})`.mapWith(Boolean),
      })
      .from(attempts)
      .where(and(eq(attempts.buildId, sql.placeholder("build")), isNull(attempts.deletedAt)))
      .prepare(),
  );
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

  return {
    countUnder: (workloadId: string): number =>
      memory.recall("under each load", () => countsIn(byLoad().all())).get(workloadId) ?? 0,
    /** What was set in any attempt of a build, set aside or not: its knobs by id, and whether a clock and a voltage. */
    setEver: (buildId: string): SetEver =>
      memory.recall(
        "set ever",
        () => ({
          knobs: new Set(knobsOf().all(buildId) as string[]),
          ...(axesOf().get({ build: buildId }) ?? { clock: false, voltage: false }),
        }),
        buildId,
      ),
    countOnMount: (buildId: string, mountId: string): number =>
      memory
        .recall("on each mount", () => countsIn(byMount().all({ build: buildId })), buildId)
        .get(mountId) ?? 0,
    countOf,
    /** Added up, so that of a long journal only what was written to is counted again. */
    count: (): number => buildsOfAll().reduce((sum, buildId) => sum + countOf(buildId), 0),
  };
}

const countsIn = (rows: readonly Readonly<{ of: string; count: number }>[]): ReadonlyMap<string, number> =>
  new Map(rows.map(({ of, count }) => [of, count]));
