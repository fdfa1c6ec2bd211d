import {
  closeSync,
  constants,
  copyFileSync,
  existsSync,
  fsyncSync,
  linkSync,
  mkdirSync,
  openSync,
  renameSync,
  rmSync,
} from "node:fs";
import path from "node:path";
import type Database from "better-sqlite3";
import { conflict } from "../../bench/things/refusal.ts";
import { databaseIn } from "./driver.ts";
import { examined, isWritable, lookedThrough } from "./examination.ts";
import { faultsIn } from "./faults.ts";

/** What a journal file may have beside it while it is open, or after a crash. */
const besides = ["-wal", "-shm"] as const;

/**
 * A connection that only reads. The last to close a file takes its log in, if it may write; a read-only connection leaves
 * a log alone, but where there is none would leave an empty one behind.
 */
export function openedToRead(file: string): Database.Database {
  const client = databaseIn(file, { readonly: existsSync(`${file}-wal`), fileMustExist: true });
  client.pragma("trusted_schema = OFF");
  return client;
}

/** Sentences on what is wrong with a journal file as it lies there; nothing in it is changed. Empty when it is whole. */
export function faultsOfFile(file: string): string[] {
  try {
    const { logGone, isNew } = examined(file, Number.POSITIVE_INFINITY);
    if (isNew) return [existsSync(file) ? "The file is empty." : "There is no such file."];
    const lost = logGone
      ? ["The log that belonged to the file is gone: what was recorded last may be missing."]
      : [];
    return [...lost, ...reading(file, faultsIn)];
  } catch (error) {
    return [(error as Error).message];
  }
}

/** Lets `read` read a journal that others may have open, in a copy where its folder may not be written. */
export function reading<Found>(file: string, read: (client: Database.Database) => Found): Found {
  if (!isWritable(file)) return lookedThrough(file, read);
  const client = openedToRead(file);
  try {
    return read(client);
  } finally {
    client.close();
  }
}

/**
 * Puts the prepared file in the place of the journal and keeps the one that was there as `aside`. The journal's name
 * never stands for nothing: the old file gets its second name first, then the new one takes the place in one step.
 */
export function swapIn(prepared: string, journal: string, aside: string): void {
  settle(prepared);
  if (existsSync(journal)) keepAside(journal, aside);
  renameSync(prepared, journal);
  settle(path.dirname(journal));
}

function keepAside(journal: string, aside: string): void {
  for (const besideOf of besides)
    if (existsSync(journal + besideOf)) renameSync(journal + besideOf, aside + besideOf);
  try {
    linkSync(journal, aside);
  } catch {
    copyFileSync(journal, aside, constants.COPYFILE_EXCL); // where a file system knows no second names
  }
}

/** On the disk before anything follows. A folder cannot be settled everywhere, and need not be. */
export function settle(file: string): void {
  try {
    const handle = openSync(file, "r");
    fsyncSync(handle);
    closeSync(handle);
  } catch (error) {
    if (!["EISDIR", "EPERM", "EACCES", "EINVAL"].includes((error as NodeJS.ErrnoException).code ?? ""))
      throw error;
  }
}

/**
 * Throws where another process has the journal open: only without others can it leave its log. What the log held is
 * in the file then. A file too damaged for that is nobody's.
 */
export function assertClosed(journal: string): void {
  const client = databaseIn(journal, { fileMustExist: true, timeout: 0 });
  try {
    client.pragma("journal_mode = DELETE");
  } catch (error) {
    const { code = "" } = error as { code?: string };
    if (code.startsWith("SQLITE_BUSY") || code.startsWith("SQLITE_LOCKED"))
      throw conflict("The journal is open in a running Rungbook; stop that first. Nothing was changed.");
    if (!code.startsWith("SQLITE_NOTADB") && !code.startsWith("SQLITE_CORRUPT")) throw error;
  } finally {
    client.close();
  }
}

/** A copy to work on, of all that was committed, with nothing beside it. */
export function copied(file: string, to: string): void {
  removed(to);
  mkdirSync(path.dirname(to), { recursive: true, mode: 0o700 });
  const client = databaseIn(file, { readonly: true, fileMustExist: true });
  try {
    client.prepare("VACUUM INTO ?").run(to);
  } finally {
    client.close();
  }
}

export function removed(file: string): void {
  for (const name of [file, ...besides.map((beside) => file + beside)]) rmSync(name, { force: true });
}

/** A name for the journal that a restored backup takes the place of. */
export function freeNameAside(journal: string, now: string): string {
  const moment = now.slice(0, 16).replace(/[-:]/g, "");
  for (let n = 0; ; n += 1) {
    const name = `${journal.replace(/\.db$/, "")}.before-restore-${moment}${n === 0 ? "" : `-${n}`}.db`;
    if (!existsSync(name)) return name;
  }
}
