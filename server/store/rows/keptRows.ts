import { eq, sql } from "drizzle-orm";
import type { SQLiteColumn, SQLiteTable } from "drizzle-orm/sqlite-core";
import type { Stamps } from "../../bench/document/account.ts";
import type { Kept } from "../../bench/things/thing.ts";
import { toInstant } from "./columns.ts";
import type { Db } from "./db.ts";
import type { Memory } from "./memory.ts";
import { whenAsked } from "./statements.ts";

export type KeptTable = SQLiteTable &
  Record<"id" | "createdAt" | "updatedAt" | "version" | "deletedAt" | "stamps", SQLiteColumn>;
export type KeptRow = {
  id: string;
  createdAt: number;
  updatedAt: number;
  version: number;
  deletedAt: number | null;
  stamps: Stamps | null;
};

export const keptOf = (row: KeptRow): Kept => ({
  id: row.id,
  createdAt: toInstant(row.createdAt),
  updatedAt: toInstant(row.updatedAt),
  version: row.version,
});

/** The rows of a list for whoever writes: removed or not, past what is remembered, which forgets with each write. */
export function keptRows<Row extends KeptRow>(db: Db, table: KeptTable, memory: Memory) {
  const byId = whenAsked(() =>
    db
      .select()
      .from(table)
      .where(eq(table.id, sql.placeholder("id")))
      .prepare(),
  );
  return {
    find: (id: string): Row | undefined => byId().get({ id }) as Row | undefined,
    add(id: string, columns: Record<string, unknown>): void {
      memory.forget();
      db.insert(table)
        .values({ ...columns, id } as never)
        .run();
    },
    write(id: string, columns: Record<string, unknown>): void {
      memory.forget();
      db.update(table)
        .set(columns as never)
        .where(eq(table.id, id))
        .run();
    },
  };
}
