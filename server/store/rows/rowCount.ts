import { count, type SQL } from "drizzle-orm";
import type { SQLiteTable } from "drizzle-orm/sqlite-core";
import type { Db } from "./db.ts";

export const rowCount = (db: Db, table: SQLiteTable, where: SQL | undefined): number =>
  db.select({ rows: count() }).from(table).where(where).get()?.rows ?? 0;
