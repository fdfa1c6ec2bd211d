import { closeSync, existsSync, openSync } from "node:fs";
import path from "node:path";
import { Refusal } from "../../bench/things/refusal.ts";

type Fault = Readonly<{ code?: string; cause?: unknown; message?: string }>;

/** The code of the system or of SQLite beneath whatever was thrown. */
export function codeOf(error: unknown): string {
  const { code, cause } = (error ?? {}) as Fault;
  if (code?.startsWith("SQLITE_") || /^E[A-Z]+$/.test(code ?? "")) return code as string;
  return cause === undefined ? "" : codeOf(cause);
}

const sentences: Readonly<Record<string, (file: string) => string>> = {
  EISDIR: (file) => `${file} is a folder; give the name of a file.`,
  ENOTDIR: (file) => `A part of the path ${file} is a file and not a folder; give another name.`,
  EEXIST: (file) => `A file stands where the folder of ${file} should be; move it away, or choose another.`,
  EACCES: (file) => `${file} may not be opened: you have no permission. Change that, or choose another file.`,
  EPERM: (file) => `${file} may not be opened: you have no permission. Change that, or choose another file.`,
  EROFS: (file) => `${file} lies where nothing can be written; choose another place.`,
  ENOENT: (file) => `The folder of ${file} is not there; make it, or choose another place.`,
  EMFILE: (file) =>
    `${file} could not be opened: this program has too many files open. Raise the limit of open files, or start again.`,
  ENFILE: (file) =>
    `${file} could not be opened: the machine has too many files open. Close other programs, then try again.`,
  SQLITE_BUSY: (file) => `${file} is held by another program. Close that, then try again.`,
};

const full = (file: string) =>
  `The disk is full, so ${file} could not be written; nothing was left behind. Make room, then try again.`;

const damaged = (file: string) =>
  `${file} is damaged, so it cannot be opened. Put a backup in its place with "rungbook restore FILE"; the file as it is will be kept beside it.`;

export const notAJournalWords = (file: string) =>
  `${file} is not a journal, or its first page is damaged; nothing was changed. Choose another file, or put a backup in its place with "rungbook restore FILE".`;

/** What stands in the way of a file: its name and what to do about it. Null where the fault is not the file's. */
export function fileRefusal(error: unknown, file: string): Refusal | null {
  const code = codeOf(error) === "SQLITE_CANTOPEN" ? whyNotOpened(file) : codeOf(error);
  if (code === "ENOSPC" || code === "EDQUOT" || code === "SQLITE_FULL" || code === "SQLITE_IOERR_SHMSIZE")
    return new Refusal("full", full(file));
  if (code === "SQLITE_NOTADB") return new Refusal("invalid", notAJournalWords(file));
  if (code.startsWith("SQLITE_CORRUPT"))
    return Object.assign(new Refusal("invalid", damaged(file)), { cause: error });
  const words = sentences[code.startsWith("SQLITE_BUSY") ? "SQLITE_BUSY" : code];
  return words ? new Refusal("conflict", words(file)) : null;
}

/** Whether it is the file that is damaged, as SQLite says or as a refusal because of that. */
export const isDamage = (error: unknown): boolean =>
  codeOf(error).startsWith("SQLITE_CORRUPT") || (error instanceof Refusal && error.extra.endMissing === true);

/** SQLite says only that it could not open a file; the system says why. Beside the file it needs a few more handles. */
function whyNotOpened(file: string): string {
  const handles: number[] = [];
  try {
    if (existsSync(file)) handles.push(openSync(file, "r+"));
    for (let more = 0; more < 4; more++) handles.push(openSync(path.dirname(file), "r"));
    return "EACCES"; // the file, where there is one, and its folder can be opened, so what it needs beside it cannot
  } catch (error) {
    return (error as NodeJS.ErrnoException).code ?? "";
  } finally {
    for (const handle of handles) closeSync(handle);
  }
}
