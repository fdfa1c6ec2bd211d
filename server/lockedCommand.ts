import { existsSync, mkdirSync, mkdtempSync, readdirSync, rmSync, statSync } from "node:fs";
import path from "node:path";
import { Refusal } from "./bench/things/refusal.ts";
import { fileRefusal } from "./store/file/fileWords.ts";
import { isLocked, lockInto, openLocked } from "./store/file/locked.ts";

type Files = Readonly<{
  journal: string;
  /** The file as it was named. */
  file: string;
  /** What locks it; null where nothing was given. */
  words: string | null;
}>;

/** Does `work` on a plain file beside the journal, and gives the file asked for as a locked copy of it. */
export async function writingLocked(
  { journal, file, words }: Files,
  work: (plain: string) => number,
): Promise<number> {
  if (words === null) return work(file);
  return beside(journal, async (plain) => {
    const code = work(plain);
    await lockInto(file, plain, words);
    return code;
  });
}

/** Does `work` on what is in a locked file; on the file itself where it is not locked. */
export async function readingLocked(
  { journal, file, words }: Files,
  work: (plain: string) => number,
): Promise<number> {
  if (!existsSync(file) || !isLocked(file)) return work(file);
  if (words === null)
    throw new Refusal("invalid", `${file} is locked: name the file of its words with --locked-with.`);
  return beside(journal, async (plain) => {
    await openLocked(file, plain, words);
    return work(plain);
  });
}

const beginning = ".rungbook-open-";
const hourMs = 3_600_000;

/** Where the journal lies it lies open anyway: nothing is laid open on another disk. */
async function beside(journal: string, work: (plain: string) => Promise<number>): Promise<number> {
  const folder = path.dirname(journal);
  mkdirSync(folder, { recursive: true, mode: 0o700 });
  forgetOlder(folder);
  const own = folderIn(folder);
  try {
    return await work(path.join(own, "file"));
  } finally {
    rmSync(own, { recursive: true, force: true });
  }
}

function folderIn(folder: string): string {
  try {
    return mkdtempSync(path.join(folder, beginning));
  } catch (error) {
    throw fileRefusal(error, folder) ?? error;
  }
}

/** What a killed command left behind. */
function forgetOlder(folder: string): void {
  for (const name of readdirSync(folder).filter((one) => one.startsWith(beginning))) {
    const own = path.join(folder, name);
    if ((statSync(own, { throwIfNoEntry: false })?.mtimeMs ?? 0) < Date.now() - hourMs)
      rmSync(own, { recursive: true, force: true });
  }
}
