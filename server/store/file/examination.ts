import {
  accessSync,
  closeSync,
  constants,
  copyFileSync,
  existsSync,
  mkdtempSync,
  openSync,
  readSync,
  rmSync,
  statSync,
  truncateSync,
  writeSync,
} from "node:fs";
import os from "node:os";
import path from "node:path";
import type Database from "better-sqlite3";
import { conflict, invalid, Refusal } from "../../bench/things/refusal.ts";
import { databaseIn } from "./driver.ts";
import { fileRefusal, notAJournalWords } from "./fileWords.ts";

/** "Rung" in the header of every journal, so that it is known without being opened. */
export const applicationId = 0x52_75_6e_67;

export type Examined = Readonly<{
  /** There is no file, or nothing in it: a journal will be made. */
  isNew: boolean;
  /** The file says that a log belongs to it, and there is none. */
  logGone: boolean;
  /** It is of an older schema than this program's. */
  isOlder: boolean;
  /** When the file itself was last written: what its log held is younger. */
  writtenAt: Date | null;
}>;

const nothingThere: Examined = { isNew: true, logGone: false, isOlder: false, writtenAt: null };
const headerBytes = 100;

/**
 * Looks at a file before anything of it is set: the header is read as bytes, and only a file that does not say whose it
 * is gets looked through, as a copy. Throws a sentence where the file is not a journal this program can open.
 * (https://www.sqlite.org/fileformat2.html, 1.3)
 */
export function examined(file: string, schemasKnown: number): Examined {
  try {
    return lookAt(file, schemasKnown);
  } catch (error) {
    throw fileRefusal(error, file) ?? error;
  }
}

function lookAt(file: string, schemasKnown: number): Examined {
  const stat = statSync(file, { throwIfNoEntry: false });
  if (stat?.isDirectory()) throw fileRefusal({ code: "EISDIR" }, file);
  if (!stat || (stat.size === 0 && !hasLog(file))) return nothingThere;
  const header = headerOf(file);
  if (header === null) throw invalid(notAJournalWords(file));
  const id = header.readUInt32BE(68);
  if (id !== 0 && id !== applicationId) throw foreign(file);
  assertWhole(file, stat.size, header);
  const mark = header.readInt32BE(60);
  const schemas = id === applicationId ? Math.abs(mark) : schemasIn(file);
  if (schemas > schemasKnown) throw newer(file);
  return {
    isNew: false,
    logGone: id === applicationId && mark < 0 && !hasLog(file),
    isOlder: schemas < schemasKnown,
    writtenAt: stat.mtime,
  };
}

const foreign = (file: string) =>
  conflict(`${file} is a database of another program. Nothing was changed; choose another file.`);

export const newer = (file: string) =>
  conflict(
    `${file} was written by a newer version of the program. Nothing was changed; start that version, or choose another file.`,
  );

/** Null where the file does not begin as every SQLite file does. */
function headerOf(file: string): Buffer | null {
  const header = Buffer.alloc(headerBytes);
  const handle = openSync(file, "r");
  try {
    const read = readSync(handle, header, 0, headerBytes, 0);
    return read === headerBytes && header.toString("latin1", 0, 16) === "SQLite format 3\0" ? header : null;
  } finally {
    closeSync(handle);
  }
}

/** How long the file is by its own account; null where it does not say. */
function lengthSaid(header: Buffer): number | null {
  if (header.readUInt32BE(24) !== header.readUInt32BE(92)) return null;
  const page = header.readUInt16BE(16);
  return header.readUInt32BE(28) * (page === 1 ? 65_536 : page);
}

/** The end of a file may still be in its log; without one it must be there. */
function assertWhole(file: string, bytes: number, header: Buffer): void {
  const said = lengthSaid(header);
  if (said !== null && bytes < said && !hasLog(file))
    throw endMissing(
      `The end of ${file} is missing: it should have ${said} bytes and has ${bytes}. Put a backup in its place with "rungbook restore FILE"; "rungbook export FILE" saves what can still be read.`,
    );
}

const endMissing = (words: string) => new Refusal("invalid", words, {}, { endMissing: true });

const logMagic = 0x37_7f_06_82;

/** Whether a log lies beside the file that can hold anything. */
function hasLog(file: string): boolean {
  const log = `${file}-wal`;
  const frame = 32 + 24 + 512;
  if ((statSync(log, { throwIfNoEntry: false })?.size ?? 0) < frame) return false;
  const begin = Buffer.alloc(4);
  const handle = openSync(log, "r");
  try {
    readSync(handle, begin, 0, 4, 0);
  } finally {
    closeSync(handle);
  }
  return (begin.readUInt32BE(0) & ~1) >>> 0 === logMagic;
}

/** How many schemas a file without our mark has; throws where its tables are another program's. */
function schemasIn(file: string): number {
  return lookedThrough(file, (client) => {
    const tables = client
      .prepare("SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%'")
      .pluck()
      .all() as string[];
    const migrated = tables.includes("__drizzle_migrations");
    const ours = ["attempts", "builds"].every((name) => tables.includes(name));
    const begun = tables.every((name) => name === "__drizzle_migrations");
    if (!begun && !(migrated && ours)) throw foreign(file);
    return schemasDone(client);
  });
}

/** How many schemas a database has been through. */
export function schemasDone(client: Database.Database): number {
  const table = client.prepare("SELECT 1 FROM sqlite_schema WHERE name = '__drizzle_migrations'").get();
  return table ? (client.prepare("SELECT count(*) FROM __drizzle_migrations").pluck().get() as number) : 0;
}

/** Gives what `look` finds in a copy of a database, of which it may do what it likes. */
export function lookedThrough<Found>(file: string, look: (client: Database.Database) => Found): Found {
  const { copy, gone } = copyElsewhere(file);
  try {
    const client = databaseIn(copy);
    try {
      return look(client);
    } finally {
      client.close();
    }
  } catch (error) {
    throw fileRefusal(error, file) ?? error;
  } finally {
    gone();
  }
}

/** The file with its log in a folder of its own for as long as it is needed. Where the end is missing the copy is made as long as it should be. */
export function copyElsewhere(file: string): { copy: string; gone(): void } {
  const folder = mkdtempSync(path.join(os.tmpdir(), "rungbook-copy-"));
  const gone = () => rmSync(folder, { recursive: true, force: true });
  const copy = path.join(folder, "journal.db");
  try {
    for (const beside of ["", "-wal"]) if (existsSync(file + beside)) copyAsOwn(file + beside, copy + beside);
    const said = lengthSaid(headerOf(copy) ?? Buffer.alloc(headerBytes));
    if (said !== null && said > statSync(copy).size && !hasLog(copy)) truncateSync(copy, said);
    return { copy, gone };
  } catch (error) {
    gone();
    throw fileRefusal(error, file) ?? error;
  }
}

/** With permissions of its own: the original may be read-only. */
function copyAsOwn(file: string, to: string): void {
  closeSync(openSync(to, "wx", 0o600));
  copyFileSync(file, to);
}

/** Whether the file and what lies beside it can be written. */
export function isWritable(file: string): boolean {
  try {
    accessSync(path.dirname(file), constants.W_OK);
    for (const beside of ["", "-wal", "-shm"])
      if (existsSync(file + beside)) accessSync(file + beside, constants.W_OK);
    return true;
  } catch {
    return false;
  }
}

/** Says in the header of a file that nobody has open that no log belongs to it. */
export function clearMark(file: string): void {
  const header = headerOf(file);
  if (header === null || header.readInt32BE(60) >= 0) return;
  const schemas = Buffer.alloc(4);
  schemas.writeInt32BE(-header.readInt32BE(60));
  const handle = openSync(file, "r+");
  try {
    writeSync(handle, schemas, 0, 4, 60);
  } finally {
    closeSync(handle);
  }
}
