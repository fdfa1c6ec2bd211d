import { closeSync, existsSync, mkdirSync, openSync, readSync, writeSync } from "node:fs";
import path from "node:path";
import { type MergeResult, mergeJournal } from "./actions/mergeJournal.ts";
import { wholeJournalText } from "./answers/wholeJournal.ts";
import { Refusal } from "./bench/things/refusal.ts";
import { documentReader } from "./csv/documentReader.ts";
import type { Settings } from "./settings.ts";
import { placeWhole, writeBackup } from "./store/file/backingUp.ts";
import { clearMark, examined, isWritable } from "./store/file/examination.ts";
import { fileRefusal, isDamage } from "./store/file/fileWords.ts";
import type { HeldJournal } from "./store/file/held.ts";
import { holdJournal } from "./store/file/hold.ts";
import { type Journal, type JournalOptions, journalToRead, openToRead } from "./store/file/journal.ts";
import {
  assertClosed,
  copied,
  faultsOfFile,
  freeNameAside,
  reading,
  removed,
  swapIn,
} from "./store/file/journalFile.ts";
import { salvaged } from "./store/file/salvage.ts";
import { type StagedDocument, stagedDocument } from "./store/file/stagedDocument.ts";

type CommandContext = Readonly<{
  /** Opens the journal in a file, making it where there is none and bringing it up to date where it is older. */
  open(file: string): Journal;
  /** The same of a journal that no other process may have open meanwhile. */
  openHeld(file: string): HeldJournal;
  options: JournalOptions;
  now(): string;
}>;

type Command = (files: Readonly<{ journal: string; file: string }>, context: CommandContext) => number;

/** Does what is asked of the journal without the server. Gives the exit code: 0 done, 1 faults found; throws where it cannot be done. */
export function runCommand(settings: Settings, context: CommandContext): number {
  const command = commands[settings.command as keyof typeof commands];
  return command({ journal: settings.journal, file: settings.file ?? "" }, context);
}

const commands = { backup, check, restore, export: exportTo, import: importFrom } as const satisfies Record<
  Exclude<Settings["command"], "serve">,
  Command
>;

const say = (words: string): void => {
  writeSync(1, `${words}\n`);
};

function assertThere(file: string, what: string): void {
  if (!existsSync(file)) throw new Refusal("missing", `There is no ${what} at ${file}.`);
}

/** What is copied is not migrated: a backup is of the schema that the journal has. */
function backup({ journal, file }: { journal: string; file: string }): number {
  assertThere(journal, "journal");
  examined(journal, Number.POSITIVE_INFINITY);
  reading(journal, (client) => writeBackup(client, file));
  say(`Backed up ${journal} to ${file}.`);
  return 0;
}

function check({ journal }: { journal: string }): number {
  assertThere(journal, "journal");
  const faults = faultsOfFile(journal);
  for (const fault of faults) say(fault);
  if (faults.length === 0) say(`${journal} is whole.`);
  return faults.length === 0 ? 0 : 1;
}

/** The backup is looked over as a copy beside the journal, so that the journal is touched only once all is well. */
function restore(
  { journal, file }: { journal: string; file: string },
  { open, now }: CommandContext,
): number {
  assertThere(file, "backup");
  if (path.resolve(file) === path.resolve(journal))
    throw new Refusal("conflict", "That is the journal itself.");
  assertOurs(journal);
  const prepared = `${journal}.restoring`;
  const replaced = existsSync(journal);
  mkdirSync(path.dirname(journal), { recursive: true, mode: 0o700 });
  const hold = holdJournal(journal);
  try {
    const taken = preparedJournal(file, prepared, open);
    if (replaced) assertClosed(journal);
    const aside = freeNameAside(journal, now());
    swapIn(prepared, journal, aside);
    if (replaced) clearMark(aside);
    say(`Restored ${taken} from ${file}.`);
    if (replaced) say(`The journal that was here is kept as ${aside}.`);
    return 0;
  } catch (error) {
    throw fileRefusal(error, journal) ?? error;
  } finally {
    removed(prepared);
    hold.release();
  }
}

/** A damaged journal can be restored over; another program's database is not ours to move. */
function assertOurs(journal: string): void {
  try {
    examined(journal, Number.POSITIVE_INFINITY);
  } catch (error) {
    if (!(error instanceof Refusal) || error.code !== "invalid") throw error;
  }
}

function preparedJournal(file: string, prepared: string, open: CommandContext["open"]): string {
  const [fault] = faultsOfFile(file);
  if (fault !== undefined)
    throw new Refusal("invalid", `${file} cannot be restored: ${fault} Nothing was changed.`);
  copied(file, prepared);
  const attempts = withJournal(open(prepared), (opened) => opened.attempts.count());
  assertClosed(prepared);
  return attempts === 1 ? "1 attempt" : `${attempts} attempts`;
}

/** What is copied is not migrated: a journal of an older schema is exported from a copy that is. Of a damaged one what can be read is saved. */
function exportTo(
  { journal, file }: { journal: string; file: string },
  { options, now }: CommandContext,
): number {
  assertThere(journal, "journal");
  const lost = savedFrom(journal, options, (whole) =>
    placeWhole(file, (making) => writeAll(making, wholeJournalText(whole, now()))),
  );
  say(`Exported ${journal} to ${file}.`);
  for (const words of lost) say(words);
  return lost.length === 0 ? 0 : 1;
}

/** Gives sentences on what could not be read. */
function savedFrom(
  journal: string,
  options: JournalOptions,
  save: (whole: Journal) => void,
): readonly string[] {
  try {
    const opened = isWritable(journal) ? journalToRead(journal, options) : null;
    withJournal(opened ?? openToRead(journal, options), save);
    return [];
  } catch (error) {
    if (!isDamage(error)) throw error;
  }
  const saved = salvaged(journal, options);
  try {
    save(saved.journal);
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

function importFrom(
  { journal, file }: { journal: string; file: string },
  { openHeld, now }: CommandContext,
): number {
  assertThere(file, "export");
  const document = documentIn(file);
  try {
    const held = openHeld(journal);
    try {
      const { journal: opened } = held;
      tellMerged(opened.writeNow(() => mergeJournal(document, { journal: opened, now: now() })));
    } finally {
      held.journal.close();
      held.hold?.release();
    }
  } finally {
    document.close();
  }
  return 0;
}

function tellMerged(result: MergeResult): void {
  say(`${result.added} added, ${result.updated} updated, ${result.unchanged} unchanged.`);
  for (const { kind, name, id, kept, because } of result.conflicts)
    say(
      `${kind} "${name}" (${id}): ${because} Kept: ${kept === "here" ? "this journal's" : "the import's"}.`,
    );
}

/** Read piece by piece: it may be larger than memory. */
function documentIn(file: string): StagedDocument {
  const document = stagedDocument();
  const handle = openSync(file, "r");
  try {
    const reader = documentReader(document.keep);
    const piece = Buffer.alloc(1 << 18);
    for (let length = readSync(handle, piece); length > 0; length = readSync(handle, piece))
      reader.write(piece.subarray(0, length));
    reader.end();
    return document;
  } catch (error) {
    document.close();
    throw error;
  } finally {
    closeSync(handle);
  }
}

function withJournal<Result>(journal: Journal, work: (journal: Journal) => Result): Result {
  try {
    return work(journal);
  } finally {
    journal.close();
  }
}
