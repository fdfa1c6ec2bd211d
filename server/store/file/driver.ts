import { createRequire } from "node:module";
import Database from "better-sqlite3";

/** Named outright: left to itself the driver searches the disk for where its machine code may have been compiled. */
const nativeBinding = createRequire(import.meta.url).resolve(
  "better-sqlite3/build/Release/better_sqlite3.node",
);

/** The file as the driver opens it; "" is a temporary database without a name. */
export const databaseIn = (file: string, options: Database.Options = {}): Database.Database =>
  new Database(file, { ...options, nativeBinding });
