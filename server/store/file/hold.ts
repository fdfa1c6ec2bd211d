import { copyFileSync, rmSync, statSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import type Database from "better-sqlite3";
import { conflict, invalid } from "../../bench/things/refusal.ts";
import { databaseIn } from "./driver.ts";
import { codeOf, fileRefusal } from "./fileWords.ts";

/** A journal held by this process and by no other. */
export type Hold = Readonly<{
  /** Says to whoever comes next where this server listens. */
  announce(address: string): void;
  release(): void;
}>;

const lockFileOf = (file: string): string => `${file}.lock`;

/**
 * Holds a journal by an exclusive lock on a small database beside it, which ends with the process however that ends. The
 * journal itself cannot carry the lock: our own workers open it. Throws where another process holds it.
 */
export function holdJournal(file: string): Hold {
  const client = locked(file);
  const stood = client.prepare("SELECT count(*) FROM holder").pluck().get() as number;
  if (stood > 0 && statSync(file, { throwIfNoEntry: false })?.size === 0) {
    client.close();
    throw invalid(
      `${file} is empty, and it was a journal before. Put a backup in its place with "rungbook restore FILE".`,
    );
  }
  return {
    announce: (address) => {
      client.exec("DELETE FROM holder");
      client.prepare("INSERT INTO holder VALUES (?)").run(address);
    },
    release: () => {
      client.close();
    },
  };
}

function locked(file: string): Database.Database {
  const lock = lockFileOf(file);
  try {
    return lockedOnce(lock);
  } catch (error) {
    const code = codeOf(error);
    if (code.startsWith("SQLITE_BUSY")) throw heldElsewhere(file);
    if (code !== "SQLITE_NOTADB" && !code.startsWith("SQLITE_CORRUPT"))
      throw fileRefusal(error, lock) ?? error;
    rmSync(lock, { force: true }); // a lock that is held answers that it is busy, so nobody holds this one
    return lockedOnce(lock);
  }
}

/** Nothing in it need survive a power cut. In this locking mode the lock outlasts the transaction that took it. */
function lockedOnce(lock: string): Database.Database {
  const client = databaseIn(lock, { timeout: 0 });
  try {
    client.pragma("locking_mode = EXCLUSIVE");
    client.pragma("journal_mode = MEMORY");
    client.pragma("synchronous = OFF");
    client.exec(
      "BEGIN EXCLUSIVE; CREATE TABLE IF NOT EXISTS holder (address TEXT NOT NULL) STRICT; UPDATE holder SET address = ''; COMMIT",
    );
    return client;
  } catch (error) {
    client.close();
    throw error;
  }
}

function heldElsewhere(file: string) {
  const address = addressIn(lockFileOf(file));
  const where = address === "" ? "" : ` that listens on ${address}`;
  return conflict(
    `The journal ${file} is open in a running Rungbook${where}. Use that one, or stop it first. Nothing was changed.`,
  );
}

/** What the holder announced, read from a copy since it lets nobody else read. */
function addressIn(lock: string): string {
  const copy = path.join(os.tmpdir(), `rungbook-lock-${process.pid}.db`);
  try {
    copyFileSync(lock, copy);
    const client = databaseIn(copy, { readonly: true });
    try {
      return (client.prepare("SELECT address FROM holder").pluck().get() as string | undefined) ?? "";
    } finally {
      client.close();
    }
  } catch {
    return "";
  } finally {
    rmSync(copy, { force: true });
  }
}
