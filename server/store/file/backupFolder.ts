import { existsSync, mkdirSync, readdirSync, rmSync, statSync } from "node:fs";
import path from "node:path";
import { type Backup, backupsLetGo } from "../../bench/document/backupRule.ts";
import { Refusal } from "../../bench/things/refusal.ts";
import { unfinished, writeBackup } from "./backingUp.ts";
import { fileRefusal } from "./fileWords.ts";
import { faultsOfFile, reading } from "./journalFile.ts";

/** Where the backups of a journal are kept unless another folder is named. */
export const backupFolderOf = (journal: string): string => path.join(path.dirname(journal), "backups");

const stemOf = (journal: string): string => path.basename(journal).replace(/\.db$/, "");

/** Those of this journal, the newest first. A folder that cannot be looked into shows none: making one says why. */
export function backupsIn(folder: string, journal: string): readonly Backup[] {
  return namesIn(folder)
    .flatMap((name) => backupCalled(name, folder, journal) ?? [])
    .sort((a, b) => Date.parse(b.at) - Date.parse(a.at));
}

function namesIn(folder: string): string[] {
  try {
    return readdirSync(folder);
  } catch {
    return [];
  }
}

/** A copy that is moved about keeps its name and not its time, so the name of a daily one says when it was made. */
function backupCalled(name: string, folder: string, journal: string): Backup | null {
  const stem = stemOf(journal);
  if (!name.startsWith(`${stem}-`) || !name.endsWith(".db")) return null;
  const rest = name.slice(stem.length + 1, -3);
  const stat = statSync(path.join(folder, name), { throwIfNoEntry: false });
  if (!stat?.isFile()) return null;
  const day = /^(\d{4})(\d\d)(\d\d)-(\d\d)(\d\d)(\d\d)$/.exec(rest);
  const at = day && `${day[1]}-${day[2]}-${day[3]}T${day[4]}:${day[5]}:${day[6]}.000Z`;
  if (at && isMoment(at)) return { name, at, bytes: stat.size, why: "day" };
  if (!/^before-update-from-\d+(-\d+)?$/.test(rest)) return null;
  return { name, at: stat.mtime.toISOString(), bytes: stat.size, why: "update" };
}

/** The 30th of February reads as a day in March. */
const isMoment = (at: string): boolean => {
  const ms = Date.parse(at);
  return !Number.isNaN(ms) && new Date(ms).toISOString() === at;
};

export const backupName = (journal: string, now: string): string =>
  `${stemOf(journal)}-${now.slice(0, 19).replace(/[-:]/g, "").replace("T", "-")}.db`;

/** For the backup made before a journal's schema changes. */
export function freeNameBefore(journal: string, folder: string, schemas: number): string {
  for (let n = 0; ; n++) {
    const name = `${stemOf(journal)}-before-update-from-${schemas}${n === 0 ? "" : `-${n}`}.db`;
    if (!existsSync(path.join(folder, name))) return path.join(folder, name);
  }
}

/**
 * Puts a backup of the journal into the folder, and lets go of those the rule no longer keeps. One that turns out damaged
 * is refused, and none is let go of for it.
 */
export function backUpInto(folder: string, journal: string, now: string): Backup {
  const name = backupName(journal, now);
  try {
    mkdirSync(folder, { recursive: true, mode: 0o700 });
    sweepUnfinished(folder, journal);
  } catch (error) {
    throw fileRefusal(error, path.join(folder, name)) ?? error;
  }
  reading(journal, (client) => writeBackup(client, path.join(folder, name), assertSound));
  for (const gone of backupsLetGo(backupsIn(folder, journal), now))
    rmSync(path.join(folder, gone.name), { force: true });
  return { name, at: now, bytes: statSync(path.join(folder, name)).size, why: "day" };
}

function assertSound(file: string): void {
  const [fault] = faultsOfFile(file);
  if (fault !== undefined)
    throw new Refusal("conflict", `The journal is damaged and was not backed up: ${fault}`);
}

/** What a killed backup left behind. */
function sweepUnfinished(folder: string, journal: string): void {
  for (const name of readdirSync(folder))
    if (name.startsWith(`${stemOf(journal)}-`) && name.includes(`.db${unfinished}`))
      rmSync(path.join(folder, name), { force: true });
}
