import { readFileSync, writeFileSync } from "node:fs";
import path from "node:path";
import Database from "better-sqlite3";
import { temporaryFolder } from "./bench.ts";

/** A copy of a closed journal with some leaf pages of a table or an index overwritten. */
export function spoiledFile(
  file: string,
  table: string,
  leaves: readonly number[],
  name = "spoiled.db",
): string {
  const client = new Database(file, { readonly: true });
  const pages = client
    .prepare("SELECT pageno FROM dbstat WHERE name = ? AND pagetype = 'leaf' ORDER BY path")
    .pluck()
    .all(table) as number[];
  client.close();
  const bytes = readFileSync(file);
  for (const leaf of leaves)
    bytes.fill(0xa5, ((pages[leaf] as number) - 1) * 4096, (pages[leaf] as number) * 4096);
  const copy = path.join(temporaryFolder(), name);
  writeFileSync(copy, bytes);
  return copy;
}
