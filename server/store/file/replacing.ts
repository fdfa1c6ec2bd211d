import { renameSync } from "node:fs";
import path from "node:path";
import { invalid } from "../../bench/things/refusal.ts";
import { unfinished } from "./backingUp.ts";
import { databaseIn } from "./driver.ts";
import { clearMark } from "./examination.ts";
import { fileRefusal } from "./fileWords.ts";
import { type JournalOptions, openJournal } from "./journal.ts";
import { copied, faultsOfFile, freeNameAside, openedToRead, removed, settle } from "./journalFile.ts";

/**
 * Puts a backup in the place of a journal that this process has open, and keeps what was there under the name it gives.
 * Both are copied page by page, so that neither need be whole; connections see the change as one commit, or none. Nobody
 * else may write meanwhile.
 */
export async function replaceOpen(
  journal: string,
  backup: string,
  now: string,
  options: JournalOptions,
): Promise<string> {
  const prepared = `${journal}.restoring`;
  const aside = freeNameAside(journal, now);
  try {
    prepare(backup, prepared, options);
    await pagesCopied(journal, aside + unfinished);
    clearMark(aside + unfinished);
    settle(aside + unfinished);
    renameSync(aside + unfinished, aside);
    await pagesCopied(prepared, journal);
    return aside;
  } catch (error) {
    removed(aside + unfinished);
    throw fileRefusal(error, journal) ?? error;
  } finally {
    removed(prepared);
  }
}

/** The backup as a journal of the present schema, beside the one it is to replace. */
function prepare(backup: string, prepared: string, options: JournalOptions): void {
  const [fault] = faultsOfFile(backup);
  if (fault !== undefined)
    throw invalid(`${path.basename(backup)} cannot be restored: ${fault} Nothing was changed.`);
  copied(backup, prepared);
  openJournal(prepared, { ...options, backups: null }).close();
}

async function pagesCopied(from: string, to: string): Promise<void> {
  const client = openedToRead(from);
  try {
    await client.backup(to, { progress: () => 10_000 });
  } finally {
    client.close();
  }
}

/** Takes as much of a journal's log in as nobody is reading, so that what remains is quickly done. */
export function takeLogIn(journal: string): void {
  const client = databaseIn(journal, { fileMustExist: true });
  try {
    client.pragma("synchronous = FULL");
    client.pragma("wal_checkpoint(PASSIVE)");
  } finally {
    client.close();
  }
}
