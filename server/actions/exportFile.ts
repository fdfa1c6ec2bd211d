import { closeSync, openSync, writeSync } from "node:fs";
import { wholeJournalText } from "../answers/wholeJournal.ts";
import { placeWhole } from "../store/file/backingUp.ts";
import { isWritable } from "../store/file/examination.ts";
import { isDamage } from "../store/file/fileWords.ts";
import { type JournalOptions, journalToRead, openToRead } from "../store/file/journal.ts";
import { type Salvaged, salvaged, salvagedWhereItLies } from "../store/file/salvage.ts";

/**
 * Writes the journal in a file as one JSON document; of a damaged one what can be read. Gives sentences on what could
 * not. What is copied is not migrated: a journal of an older schema is exported from a copy that is.
 */
export function exportFile(
  journal: string,
  to: string,
  now: string,
  options: JournalOptions,
): readonly string[] {
  try {
    const opened = isWritable(journal) ? journalToRead(journal, options) : null;
    const whole = opened ?? openToRead(journal, options);
    try {
      placeWhole(to, (making) => writeAll(making, wholeJournalText(whole, now)));
    } finally {
      whole.close();
    }
    return [];
  } catch (error) {
    if (!isDamage(error)) throw error;
  }
  return exportSaved(salvaged(journal, options), to, now);
}

/** What can be read of a damaged journal that this process has open. */
export const exportDamaged = (
  journal: string,
  to: string,
  now: string,
  options: JournalOptions,
): readonly string[] => exportSaved(salvagedWhereItLies(journal, options), to, now);

/** The same as a journal of its own in another file. */
export function rescuedInto(journal: string, to: string, options: JournalOptions): readonly string[] {
  const saved = salvagedWhereItLies(journal, options);
  try {
    saved.journal.backUpTo(to);
    return saved.lost;
  } finally {
    saved.close();
  }
}

function exportSaved(saved: Salvaged, to: string, now: string): readonly string[] {
  try {
    placeWhole(to, (making) => writeAll(making, wholeJournalText(saved.journal, now, saved.lost)));
    return saved.lost;
  } finally {
    saved.close();
  }
}

function writeAll(file: string, pieces: Iterable<string>): void {
  const handle = openSync(file, "wx");
  try {
    for (const piece of pieces) {
      const bytes = Buffer.from(piece);
      for (let at = 0; at < bytes.length; ) at += writeSync(handle, bytes, at);
    }
  } finally {
    closeSync(handle);
  }
}
