import { readFileSync } from "node:fs";
import Database from "better-sqlite3";

/** The bytes of a closed journal with some leaf pages of a table or an index overwritten; −1 is the last leaf. */
export function spoiledLeaves(file: string, table: string, leaves: readonly number[]): Buffer {
  const client = new Database(file, { readonly: true });
  const pages = client
    .prepare("SELECT pageno FROM dbstat WHERE name = ? AND pagetype = 'leaf' ORDER BY path")
    .pluck()
    .all(table) as number[];
  client.close();
  const bytes = readFileSync(file);
  for (const leaf of leaves) {
    const page = pages.at(leaf) as number;
    bytes.fill(0xa5, (page - 1) * 4096, page * 4096);
  }
  return bytes;
}
