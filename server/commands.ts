import { closeSync, existsSync, mkdirSync, openSync, readSync, writeSync } from "node:fs";
import path from "node:path";
import { exportFile } from "./actions/exportFile.ts";
import { mergeJournal } from "./actions/mergeJournal.ts";
import type { MergeResult } from "./actions/mergeTally.ts";
import { Refusal } from "./bench/things/refusal.ts";
import { documentReader } from "./csv/documentReader.ts";
import { readingLocked, writingLocked } from "./lockedCommand.ts";
import type { Settings } from "./settings.ts";
import { writeBackup } from "./store/file/backingUp.ts";
import { clearMark, examined } from "./store/file/examination.ts";
import { fileRefusal } from "./store/file/fileWords.ts";
import type { HeldJournal } from "./store/file/held.ts";
import { holdJournal } from "./store/file/hold.ts";
import { type Journal, type JournalOptions, schemasIn } from "./store/file/journal.ts";
import {
  assertClosed,
  copied,
  faultsOfFile,
  freeNameAside,
  reading,
  removed,
  swapIn,
} from "./store/file/journalFile.ts";
import { type StagedDocument, stagedDocument } from "./store/file/stagedDocument.ts";

type CommandContext = Readonly<{
  /** Opens the journal in a file, making it where there is none and bringing it up to date where it is older. */
  open(file: string): Journal;
  /** The same of a journal that no other process may have open meanwhile. */
  openHeld(file: string): HeldJournal;
  options: JournalOptions;
  now(): string;
}>;

type Files = Readonly<{
  journal: string;
  /** What is read or written. */
  file: string;
  /** What that is called: another name where the file asked for is locked. */
  called: string;
}>;
type Command = (files: Files, context: CommandContext) => number;

/** Does what is asked of the journal without the server. Gives the exit code: 0 done, 1 faults found; throws where it cannot be done. */
export function runCommand(settings: Settings, context: CommandContext): Promise<number> {
  const { journal, lockedWith } = settings;
  const name = settings.command as keyof typeof commands;
  const called = settings.file ?? "";
  const work = (file: string) => commands[name]({ journal, file, called }, context);
  const given = { journal, file: called, words: lockedWith };
  return name === "backup" || name === "export" ? writingLocked(given, work) : readingLocked(given, work);
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
function backup({ journal, file, called }: Files): number {
  assertThere(journal, "journal");
  examined(journal, Number.POSITIVE_INFINITY);
  reading(journal, (client) => writeBackup(client, file));
  say(`Backed up ${journal} to ${called}.`);
  return 0;
}

function check({ journal }: Files): number {
  assertThere(journal, "journal");
  const faults = faultsOfFile(journal);
  for (const fault of faults) say(fault);
  if (faults.length === 0) say(`${journal} is whole.`);
  return faults.length === 0 ? 0 : 1;
}

/** The backup is looked over as a copy beside the journal, so that the journal is touched only once all is well. */
function restore({ journal, file, called }: Files, { open, options, now }: CommandContext): number {
  assertThere(called, "backup");
  if (path.resolve(called) === path.resolve(journal))
    throw new Refusal("conflict", "That is the journal itself.");
  assertOurs(journal);
  examined(file, schemasIn(options.migrations));
  const prepared = `${journal}.restoring`;
  const replaced = existsSync(journal);
  mkdirSync(path.dirname(journal), { recursive: true, mode: 0o700 });
  const hold = holdJournal(journal);
  try {
    const taken = preparedJournal({ file, called }, prepared, open);
    if (replaced) assertClosed(journal);
    const aside = freeNameAside(journal, now());
    swapIn(prepared, journal, aside);
    if (replaced) clearMark(aside);
    say(`Restored ${taken} from ${called}.`);
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

function preparedJournal(
  { file, called }: Pick<Files, "file" | "called">,
  prepared: string,
  open: CommandContext["open"],
): string {
  const [fault] = faultsOfFile(file);
  if (fault !== undefined)
    throw new Refusal("invalid", `${called} cannot be restored: ${fault} Nothing was changed.`);
  copied(file, prepared);
  const attempts = withJournal(open(prepared), (opened) => opened.attempts.count());
  assertClosed(prepared);
  return attempts === 1 ? "1 attempt" : `${attempts} attempts`;
}

function exportTo({ journal, file, called }: Files, { options, now }: CommandContext): number {
  assertThere(journal, "journal");
  const lost = exportFile(journal, file, now(), options);
  say(`Exported ${journal} to ${called}.`);
  for (const words of lost) say(words);
  return lost.length === 0 ? 0 : 1;
}

function importFrom({ journal, file, called }: Files, { openHeld, now }: CommandContext): number {
  assertThere(called, "export");
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
