import { mkdirSync, writeFileSync } from "node:fs";
import path from "node:path";
import { temporaryFolder } from "./bench.ts";

export type MadeFiles = Readonly<Record<string, string | number>>;

/** A made tree such as the kernel shows, file by file; what is named again is written over. */
export function madeTree(files: MadeFiles, root = temporaryFolder()): string {
  for (const [name, text] of Object.entries(files)) {
    mkdirSync(path.join(root, path.dirname(name)), { recursive: true });
    writeFileSync(path.join(root, name), `${text}\n`);
  }
  return root;
}
