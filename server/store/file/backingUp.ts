import { constants, copyFileSync, existsSync, linkSync, unlinkSync } from "node:fs";
import path from "node:path";
import type Database from "better-sqlite3";
import { conflict } from "../../bench/things/refusal.ts";
import { clearMark } from "./examination.ts";
import { codeOf, fileRefusal } from "./fileWords.ts";
import { removed, settle } from "./journalFile.ts";

/** What is being written has this behind its name until it is whole and on the disk. */
export const unfinished = ".unfinished";

/** A copy of an open database as it stands, once `look` finds nothing against it. Another schema is copied as it is. */
export function writeBackup(
  client: Database.Database,
  file: string,
  look: (made: string) => void = () => undefined,
): void {
  placeWhole(file, (making) => {
    client.prepare("VACUUM INTO ?").run(making);
    clearMark(making);
    look(making);
  });
}

/** Lets `write` fill a file beside the one asked for; that gets its name once it is whole and on the disk, or never. */
export function placeWhole(file: string, write: (making: string) => void): void {
  const making = cleared(file);
  try {
    write(making);
    named(making, file);
  } catch (error) {
    throw unmade(making, file, error);
  }
}

/** The same where it takes a while to fill. */
export async function placeWholeLater(file: string, write: (making: string) => Promise<void>): Promise<void> {
  const making = cleared(file);
  try {
    await write(making);
    named(making, file);
  } catch (error) {
    throw unmade(making, file, error);
  }
}

function cleared(file: string): string {
  if (existsSync(file)) throw taken(file);
  const making = file + unfinished;
  removed(making);
  return making;
}

function named(making: string, file: string): void {
  settle(making);
  takeName(making, file);
  settle(path.dirname(file));
}

function unmade(making: string, file: string, error: unknown): unknown {
  removed(making);
  return fileRefusal(error, file) ?? error;
}

const taken = (file: string) => conflict(`${path.basename(file)} is there already; name another file.`);

/** Never over a file that has come meanwhile. */
function takeName(making: string, file: string): void {
  try {
    linkSync(making, file);
  } catch (error) {
    if (codeOf(error) === "EEXIST") throw taken(file);
    copyFileSync(making, file, constants.COPYFILE_EXCL); // where a file system knows no second names
    settle(file);
  }
  unlinkSync(making);
}
