import { writeFileSync } from "node:fs";
import path from "node:path";
import { temporaryFolder } from "./bench.ts";
import { spoiledLeaves } from "./spoiledLeaves.ts";

/** A copy of a closed journal with some leaf pages of a table or an index overwritten. */
export function spoiledFile(
  file: string,
  table: string,
  leaves: readonly number[],
  name = "spoiled.db",
): string {
  const copy = path.join(temporaryFolder(), name);
  writeFileSync(copy, spoiledLeaves(file, table, leaves));
  return copy;
}
