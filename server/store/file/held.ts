import { existsSync, mkdirSync, readdirSync, rmSync } from "node:fs";
import path from "node:path";
import { examined, isWritable } from "./examination.ts";
import { fileRefusal } from "./fileWords.ts";
import { type Hold, holdJournal } from "./hold.ts";
import { type Journal, type JournalOptions, openJournal, openToRead, schemasIn } from "./journal.ts";

/** A journal to serve or to write to. */
export type HeldJournal = Readonly<{
  journal: Journal;
  /** Null where the journal may only be read: then nobody need be kept away. */
  hold: Hold | null;
}>;

/** Looks the file over, holds it against other processes and opens it. What was made of a journal that could not be is taken away again. */
export function openHeld(file: string, options: JournalOptions): HeldJournal {
  const { isNew } = examined(file, schemasIn(options.migrations));
  if (!isNew && !isWritable(file)) return { journal: openToRead(file, options), hold: null };
  const made = isNew ? folderMade(path.dirname(file), file) : undefined;
  const lockStood = existsSync(`${file}.lock`);
  let hold: Hold | undefined;
  try {
    hold = holdJournal(file);
    sweep(file);
    return { journal: openJournal(file, options), hold };
  } catch (error) {
    hold?.release();
    if (hold && isNew && !lockStood) rmSync(`${file}.lock`, { force: true });
    if (hold && made !== undefined) rmSync(made, { recursive: true, force: true });
    throw fileRefusal(error, file) ?? error;
  }
}

/** The first folder that had to be made on the way; undefined where all were there. */
function folderMade(folder: string, file: string): string | undefined {
  try {
    return mkdirSync(folder, { recursive: true, mode: 0o700 });
  } catch (error) {
    throw fileRefusal(error, file) ?? error;
  }
}

/** What a backup to be sent or put in place left behind when it was killed; nobody else is at this journal now. */
function sweep(file: string): void {
  const [folder, name] = [path.dirname(file), path.basename(file)];
  for (const left of readdirSync(folder))
    if (left.startsWith(`.${name}.download-`) || left.startsWith(`${name}.restoring`))
      rmSync(path.join(folder, left), { recursive: true, force: true });
}
