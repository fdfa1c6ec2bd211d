import { randomBytes } from "node:crypto";
import { mkdtempSync, rmSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { ensureStandardRule } from "../../server/actions/parts.ts";
import { type Journal, openJournal } from "../../server/store/file/journal.ts";
import { type BulkSize, fillInBulk } from "../support/bulkRecord.ts";

export const root = path.resolve(import.meta.dirname, "../..");
export const theInstant = "2031-05-04T13:42:00.000Z";

/** Runs `work` with a folder that is removed afterwards. */
export async function inFolder<Result>(work: (folder: string) => Result | Promise<Result>): Promise<Result> {
  const folder = mkdtempSync(path.join(os.tmpdir(), "rungbook-speed-"));
  try {
    return await work(folder);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/** A real journal on the disk, filled with as much as asked for. */
export function journalIn(folder: string, size: BulkSize): Journal {
  const file = path.join(folder, "journal.db");
  const journal = openJournal(file, { migrations: path.join(root, "migrations"), randomBytes });
  ensureStandardRule({ journal });
  fillInBulk(journal, size);
  return journal;
}
