import { and, desc, eq, isNull, type SQL, sql } from "drizzle-orm";
import type { SQLiteColumn } from "drizzle-orm/sqlite-core";
import type { Page } from "../../bench/things/thing.ts";
import { cursorOf, positionOf } from "./cursor.ts";
import type { Db } from "./db.ts";
import type { KeptRow, KeptTable } from "./keptRows.ts";

export type PageQuestion = Readonly<{ limit: number; after: string | null }>;

/** Things that belong to a build are listed newest first; those without a date, whose `age` is -1, come last. */
export function datedPages<Row extends KeptRow, Thing extends { id: string }>(
  db: Db,
  table: KeptTable & { buildId: SQLiteColumn },
  age: SQL<number>,
  toThing: (row: Row) => Thing,
  orderOf: (thing: Thing) => number,
): (buildId: string, question: PageQuestion) => Page<Thing> {
  return (buildId, { limit: most, after }) => {
    const position = after === null ? { order: Number.MAX_SAFE_INTEGER, id: "~" } : positionOf(after, 0);
    const beyond = sql`(${age}, ${table.id}) < (${position.order}, ${position.id})`;
    const rows = db
      .select()
      .from(table)
      .where(and(eq(table.buildId, buildId), isNull(table.deletedAt), beyond))
      .orderBy(desc(age), desc(table.id))
      .limit(most + 1)
      .all() as Row[];
    return listPage(rows.map(toThing), most, orderOf);
  };
}

/** A page of things that were read in their order, one more than the page holds where there is one. */
export function listPage<Thing extends { id: string }>(
  things: readonly Thing[],
  most: number,
  orderOf: (thing: Thing) => number | string,
): Page<Thing> {
  const items = things.slice(0, most);
  const last = items.at(-1);
  return {
    items,
    next: things.length > most && last ? cursorOf({ order: orderOf(last), id: last.id }) : null,
  };
}
