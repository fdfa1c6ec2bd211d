import { count, type SQL } from "drizzle-orm";
import type { SQLiteTable } from "drizzle-orm/sqlite-core";
import type { Db } from "./db.ts";
import { whenAsked } from "./whenAsked.ts";

/** Counts the rows of a table; the condition may hold placeholders, which are given with each question. */
export function rowCounter(
  db: Db,
  table: SQLiteTable,
  where: SQL | undefined,
): (asked?: Record<string, string>) => number {
  const counted = whenAsked(() => db.select({ rows: count() }).from(table).where(where).prepare());
  return (asked) => counted().get(asked)?.rows ?? 0;
}
