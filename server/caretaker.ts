import type { JournalFiles } from "./actions/journalFiles.ts";
import type { Journal } from "./store/file/journal.ts";

const restS = 3;
const beforeBackupS = 60;

/** Looks after the journal's file while the server runs; asked to once a second. */
export function caretakerOf(journal: Journal, files: JournalFiles, complain: (fault: unknown) => void) {
  let [seen, restingS, settled, runS, busy] = [-1, 0, -1, 0, false];

  /** One thing at a time. */
  async function see(work: () => Promise<unknown>): Promise<void> {
    busy = true;
    await work().catch(complain);
    busy = false;
  }

  /** After a few seconds without a write the log is taken in; once a day, and a minute after the start, it is backed up. */
  return async function tick(): Promise<void> {
    runS += 1;
    const revision = journal.revision();
    restingS = revision === seen ? restingS + 1 : 0;
    seen = revision;
    if (busy) return;
    if (restingS >= restS && settled !== revision) {
      await see(files.settle);
      settled = journal.revision();
      seen = settled;
    } else if (runS % beforeBackupS === 0 && files.isDue()) await see(files.backUp);
  };
}
