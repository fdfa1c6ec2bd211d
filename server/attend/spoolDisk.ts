import {
  closeSync,
  existsSync,
  fdatasync,
  fdatasyncSync,
  fsyncSync,
  mkdirSync,
  openSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  statSync,
  writeSync,
} from "node:fs";
import path from "node:path";

/** The folder of the spool: files that only grow. What is appended is safe from a power cut once it is synced. */
export type SpoolDisk = Readonly<{
  names(): readonly string[];
  /** Null where there is none. */
  read(name: string): string | null;
  append(name: string, text: string): void;
  /** Returns once all that was appended is on the disk; false where it could not be brought there. */
  syncNow(name: string): boolean;
  /** Begins to bring it there; at most one at a time of each file. */
  sync(name: string): void;
  remove(name: string): void;
  /** Puts it aside under another name. */
  rename(name: string, other: string): void;
}>;

/** Throws an Error with a sentence where the folder, or a file in it, is not this user's alone to write. */
export function spoolDisk(
  folder: string,
  userId: number | null,
  complain: (words: string) => void,
): SpoolDisk {
  mkdirSync(folder, { recursive: true, mode: 0o700 });
  assertOwn(folder, userId);
  const handles = new Map<string, number>();
  const syncing = new Set<string>();
  let isBroken = false;
  const at = (name: string) => path.join(folder, name);
  const broken = (error: unknown): void => {
    if (!isBroken)
      complain(`The spool in ${folder} cannot be written (${wordsOf(error)}); what happens is still sent.`);
    isBroken = true;
  };
  const handleOf = (name: string): number => {
    const open = handles.get(name);
    if (open !== undefined) return open;
    const isNew = !existsSync(at(name));
    if (!isNew) assertOwn(at(name), userId);
    const handle = openSync(at(name), "a", 0o600);
    handles.set(name, handle);
    if (isNew) syncFolder(folder);
    return handle;
  };
  const letGo = (name: string): void => {
    const handle = handles.get(name);
    if (handle !== undefined) closeSync(handle);
    handles.delete(name);
  };
  const tried = (work: () => void): boolean => {
    try {
      work();
      return true;
    } catch (error) {
      broken(error);
      return false;
    }
  };
  return {
    names: () => readdirSync(folder),
    read: (name) => {
      if (!existsSync(at(name))) return null;
      assertOwn(at(name), userId);
      return readFileSync(at(name), "utf8");
    },
    append: (name, text) => void tried(() => writeSync(handleOf(name), text)),
    syncNow: (name) => tried(() => fdatasyncSync(handleOf(name))),
    sync: (name) => {
      const handle = handles.get(name);
      if (handle === undefined || syncing.has(name)) return;
      syncing.add(name);
      fdatasync(handle, (error) => {
        syncing.delete(name);
        if (error && handles.get(name) === handle) broken(error);
      });
    },
    remove: (name) =>
      void tried(() => {
        letGo(name);
        rmSync(at(name), { force: true });
      }),
    rename: (name, other) =>
      void tried(() => {
        letGo(name);
        renameSync(at(name), at(other));
      }),
  };
}

/** A spool that others may write could make this user tell lies, and one of another user is not ours to send. */
function assertOwn(file: string, userId: number | null): void {
  if (userId === null) return;
  const { uid, mode } = statSync(file);
  if (uid !== userId) throw new Error(`${file} belongs to another user; it is neither read nor written.`);
  if ((mode & 0o022) !== 0)
    throw new Error(`${file} may be written by others; take that right away first (chmod go-w).`);
}

/** The name of a new file is in its folder, which has to be synced too. */
function syncFolder(folder: string): void {
  if (process.platform === "win32") return;
  const handle = openSync(folder, "r");
  try {
    fsyncSync(handle);
  } finally {
    closeSync(handle);
  }
}

const wordsOf = (error: unknown): string => (error as NodeJS.ErrnoException).code ?? String(error);
