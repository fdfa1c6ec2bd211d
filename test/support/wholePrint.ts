import { createHash } from "node:crypto";
import { readdirSync, statSync } from "node:fs";
import path from "node:path";
import type { Journal } from "../../server/store/file/journal.ts";
import type { TestServer } from "./bench.ts";

/** A print of all that was written down and of every file beside it but databases; it stays while nothing changes. */
export const printOf = ({ journal }: TestServer): string =>
  [printOfRows(journal), ...filesBeside(journal).filter((name) => !isDatabase(name.trim()))].join(" ");

const isDatabase = (name: string): boolean => /-(wal|shm)$|\.db$/.test(name);

/** The same of what was written down alone. Answers that are kept to be shown again come and go by themselves. */
export function printOfRows({ db: { $client } }: Journal): string {
  const hash = createHash("sha256");
  const tables = $client
    .prepare("SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite%'")
    .pluck()
    .all() as string[];
  for (const table of tables.filter((name) => name !== "kept_answers"))
    for (const row of $client.prepare(`SELECT * FROM "${table}"`).raw().iterate())
      hash.update(JSON.stringify(row));
  return hash.digest("base64");
}

/** Every file beside the journal and below, with its size; of databases and their logs, which grow by reading, the name. */
export function filesBeside({ file }: Journal): string[] {
  const folder = path.dirname(file);
  const sizeOf = (name: string) =>
    isDatabase(name) ? "" : statSync(path.join(folder, name), { throwIfNoEntry: false })?.size;
  return readdirSync(folder, { recursive: true })
    .map(String)
    .sort()
    .map((name) => `${name} ${sizeOf(name)}`);
}
