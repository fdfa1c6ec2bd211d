import { earlierEdits, type StampedEdit } from "../../bench/document/account.ts";
import { groupedBy } from "../../numerics/groups.ts";
import { toInstant, toMs } from "./columns.ts";
import type { Db } from "./db.ts";
import { whenAsked } from "./statements.ts";

/** So many of the edits written last are looked through: the table grows with the journal, a day does not. */
const mostLooked = 2000;

type Row = { at: number; changes: string; stamp: string | null; seen: string | null };

/** The edits of attempts, or of all other things, by the thing they are of. */
export function editLog(
  db: Db,
  { table, of }: Readonly<{ table: "attempt_edits" | "thing_edits"; of: "attempt_id" | "thing_id" }>,
) {
  const client = db.$client;
  const read = whenAsked(() =>
    client.prepare(`SELECT at, changes, stamp, seen FROM ${table} WHERE ${of} = ? ORDER BY id`),
  );
  const readMany = whenAsked(() =>
    client.prepare(
      `SELECT ${of} AS "of", at, changes, stamp, seen FROM ${table}
       WHERE ${of} IN (SELECT value FROM json_each(?)) ORDER BY id`,
    ),
  );
  const add = whenAsked(() =>
    client.prepare(`INSERT INTO ${table} (${of}, at, changes, stamp, seen) VALUES (?, ?, ?, ?, ?)`),
  );
  const drop = whenAsked(() => client.prepare(`DELETE FROM ${table} WHERE ${of} = ?`));

  const editsOf = (id: string): StampedEdit[] => inOrder(read().all(id) as Row[]);

  /** The edits of many things by their ids, read at once. */
  function editsOfEach(ids: readonly string[]): ReadonlyMap<string, readonly StampedEdit[]> {
    const rows = readMany().all(JSON.stringify(ids)) as (Row & { of: string })[];
    return new Map([...groupedBy(rows, ({ of: id }) => id)].map(([id, some]) => [id, inOrder(some)]));
  }

  const note = (id: string, { at, changes, stamp, seen }: StampedEdit): void =>
    void add().run(id, toMs(at), JSON.stringify(changes), stamp, JSON.stringify(seen));

  return {
    editsOf,
    editsOfEach,
    note,
    /** These and no others. */
    keepEdits(id: string, edits: readonly StampedEdit[]): void {
      const known = editsOf(id).map(({ stamp }) => stamp);
      if (known.join(" ") === edits.map(({ stamp }) => stamp).join(" ")) return;
      drop().run(id);
      for (const edit of edits) note(id, edit);
    },
    /** What was edited since a moment, the latest first, each once. */
    editedSince(since: string, most: number): { id: string; at: string }[] {
      const rows = client
        .prepare(
          `SELECT ${of} AS id, max(at) AS at FROM (SELECT * FROM ${table} ORDER BY id DESC LIMIT ${mostLooked})
           WHERE at >= ? GROUP BY ${of} ORDER BY max(id) DESC LIMIT ?`,
        )
        .all(toMs(since), most) as { id: string; at: number }[];
      return rows.map(({ id, at }) => ({ id, at: toInstant(at) }));
    },
    dropEdits: (id: string): void => void drop().run(id),
  };
}

/** In order of their stamps. */
function inOrder(rows: readonly Row[]): StampedEdit[] {
  const isEarlier = ({ stamp }: Row): boolean => stamp === null;
  const earlier = earlierEdits(rows.filter(isEarlier).map(fromRow));
  const stamped = rows
    .filter((row) => !isEarlier(row))
    .map((row) => ({ ...fromRow(row), stamp: row.stamp ?? "", seen: JSON.parse(row.seen ?? "{}") }));
  return [...earlier, ...stamped].sort((a, b) => (a.stamp < b.stamp ? -1 : 1));
}

const fromRow = ({ at, changes }: Row) => ({
  at: toInstant(at),
  changes: JSON.parse(changes) as StampedEdit["changes"],
});
