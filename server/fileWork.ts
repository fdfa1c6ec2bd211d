import path from "node:path";
import { type JournalFiles, journalFilesOf } from "./actions/journalFiles.ts";
import { reckonerIn } from "./reckoner.ts";
import { backupFolderOf } from "./store/file/backupFolder.ts";
import type { Journal } from "./store/file/journal.ts";

type FileWorkOptions = Readonly<{
  /** The folder of the worker threads. */
  workers: string;
  migrations: string;
  now(): string;
  /** Where backups are kept; null for beside the journal. */
  backups?: string | null;
  complain?(fault: string): void;
}>;

/** A large journal takes its time to be copied; only after an hour is the thread taken to be stuck. */
const patienceMs = 3_600_000;
const lingerMs = 5_000;

/** The journal's file and its backups, worked on in a thread that begins with the first of it. */
export function fileWorkOn(
  journal: Journal,
  { workers, migrations, now, backups, complain }: FileWorkOptions,
): Readonly<{ files: JournalFiles; close(): Promise<void> }> {
  const thread = reckonerIn(path.join(workers, "journalFile.cjs"), {
    patienceMs,
    lingerMs,
    unanswered:
      "The work on the journal's file could not be done. The journal stands as it was; the fault has been logged.",
    ...(complain && { complain }),
  });
  const folder = backups ?? backupFolderOf(journal.original);
  return {
    files: journalFilesOf({ journal, folder, migrations, now, ask: thread.reckon }),
    close: thread.close,
  };
}
