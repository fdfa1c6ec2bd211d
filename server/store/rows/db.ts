import type Database from "better-sqlite3";
import type { BetterSQLite3Database } from "drizzle-orm/better-sqlite3";
import type * as schema from "./schema.ts";

/** The open file as Drizzle sees it, with the driver beneath. */
export type Db = BetterSQLite3Database<typeof schema> & { $client: Database.Database };
