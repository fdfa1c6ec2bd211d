import type { GaveWay, Hanging } from "../../bench/document/gaveWay.ts";
import { whenWritten } from "../../bench/document/stamp.ts";
import type { Db } from "../rows/db.ts";
import { editLog } from "../rows/editLog.ts";
import { whenAsked } from "../rows/statements.ts";

const kinds: readonly Hanging[] = ["output", "trace"];

/** Traces and outputs of attempts that gave way to others. They lie in the table of edits, each under its place. */
export function gaveWayStore(db: Db, forget: () => void) {
  const log = editLog(db, { table: "thing_edits", of: "thing_id" });
  const placeOf = (what: Hanging, attemptId: string): string => `${what} ${attemptId}`;
  const places = whenAsked(() =>
    db.$client
      .prepare(
        `SELECT DISTINCT thing_id FROM thing_edits
         WHERE (thing_id > 'output ' AND thing_id < 'output!') OR (thing_id > 'trace ' AND thing_id < 'trace!')`,
      )
      .pluck(),
  );

  const at = (what: Hanging, attemptId: string): GaveWay[] =>
    log
      .editsOf(placeOf(what, attemptId))
      .map(({ stamp, changes }) => ({ attemptId, what, stamp, [what]: changes[what]?.[0] }) as GaveWay);

  const gaveWayOf = (attemptId: string): readonly GaveWay[] =>
    kinds.flatMap((what) => at(what, attemptId)).sort((a, b) => (a.stamp < b.stamp ? -1 : 1));

  function dropGaveWay(attemptId: string): void {
    for (const what of kinds) log.dropEdits(placeOf(what, attemptId));
  }

  return {
    /** In order of their writing. */
    gaveWayOf,
    /** These and no others. */
    keepGaveWay(attemptId: string, all: readonly GaveWay[]): void {
      forget();
      dropGaveWay(attemptId);
      for (const one of all) {
        const changes = { [one.what]: [one.what === "trace" ? one.trace : one.output, null] as const };
        const { stamp } = one;
        log.note(placeOf(one.what, attemptId), {
          at: whenWritten(stamp),
          ...{ changes, stamp, seen: {} },
        });
      }
    },
    dropGaveWay,
    /** Of all attempts, those of one in memory at a time. */
    *allGaveWay(): Generator<GaveWay> {
      const ids = new Set((places().all() as string[]).map((place) => place.slice(place.indexOf(" ") + 1)));
      for (const attemptId of [...ids].sort()) yield* gaveWayOf(attemptId);
    },
  };
}
