import { readdirSync, readFileSync } from "node:fs";
import path from "node:path";
import Database from "better-sqlite3";
import { migrations, temporaryFolder } from "./bench.ts";

/** Every schema that was ever released, by how many of the migrations it had. */
const released = readdirSync(migrations).filter((name) => name.endsWith(".sql")).length;

/** A copy of a journal with only the tables of its first migrations, as an older program left it. */
export function asOfMigration(file: string, steps: number): string {
  const copy = path.join(temporaryFolder(), "old.db");
  const source = new Database(file);
  source.prepare("VACUUM INTO ?").run(copy);
  source.close();
  const old = new Database(copy);
  old.pragma("foreign_keys = OFF");
  const earliest = new Database(":memory:");
  for (const name of sqlFiles().slice(0, steps)) earliest.exec(sqlOf(name));
  const known = new Set(tableNames(earliest));
  for (const table of tableNames(old))
    if (!known.has(table) && !table.startsWith("__")) old.exec(`DROP TABLE "${table}"`);
  for (const table of known)
    for (const column of columnsOf(old, table))
      if (!columnsOf(earliest, table).includes(column))
        old.exec(`ALTER TABLE "${table}" DROP COLUMN "${column}"`);
  const [wanted, there] = [indexesOf(earliest), indexesOf(old)];
  for (const name of there.keys()) if (!wanted.has(name)) old.exec(`DROP INDEX "${name}"`);
  for (const [name, sql] of wanted) if (!there.has(name)) old.exec(sql);
  if (steps < released) old.pragma("user_version = 0");
  old.exec(
    `DELETE FROM __drizzle_migrations WHERE rowid NOT IN (SELECT rowid FROM __drizzle_migrations ORDER BY created_at LIMIT ${steps})`,
  );
  earliest.close();
  old.close();
  return copy;
}

const sqlFiles = () =>
  readdirSync(migrations)
    .filter((name) => name.endsWith(".sql"))
    .sort();
const sqlOf = (name: string) => readFileSync(path.join(migrations, name), "utf8");
export const tableNames = (client: Database.Database): string[] =>
  (
    client
      .prepare("SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%'")
      .all() as { name: string }[]
  ).map((row) => row.name);

const columnsOf = (client: Database.Database, table: string): string[] =>
  client.prepare("SELECT name FROM pragma_table_info(?)").pluck().all(table) as string[];

const indexesOf = (client: Database.Database): Map<string, string> =>
  new Map(
    (
      client
        .prepare("SELECT name, sql FROM sqlite_schema WHERE type = 'index' AND sql IS NOT NULL")
        .all() as {
        name: string;
        sql: string;
      }[]
    ).map((row) => [row.name, row.sql]),
  );
