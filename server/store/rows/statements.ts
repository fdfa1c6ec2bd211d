import { count, getTableName, type SQL } from "drizzle-orm";
import type { SQLiteTable } from "drizzle-orm/sqlite-core";
import type { Db } from "./db.ts";

/** Made when first asked for, and once: preparing every statement at opening would cost each start dearly. */
export function whenAsked<Made>(make: () => Made): () => Made {
  let made: { it: Made } | null = null;
  return () => {
    made ??= { it: make() };
    return made.it;
  };
}

/** Counts the rows of a table; the condition may hold placeholders, which are given with each question. */
export function rowCounter(
  db: Db,
  table: SQLiteTable,
  where: SQL | undefined,
): (asked?: Record<string, string>) => number {
  const counted = whenAsked(() => db.select({ rows: count() }).from(table).where(where).prepare());
  return (asked) => counted().get(asked)?.rows ?? 0;
}

/** Whether there is such a row, by the driver itself: it is asked of everything that another journal sends. */
export function whenHeld(db: Db, table: SQLiteTable): (id: string) => boolean {
  const held = whenAsked(() =>
    db.$client.prepare(`SELECT 1 FROM ${getTableName(table)} WHERE id = ?`).pluck(),
  );
  return (id) => held().get(id) !== undefined;
}
