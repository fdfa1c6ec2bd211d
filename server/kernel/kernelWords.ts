import { closeSync, fstatSync, openSync, readSync } from "node:fs";

/** Lines of a kernel's log that tell of errors, corrected or not (common practice). */
export const errorWords = /hardware error|machine check|\bmce\b|corrected error|uncorrected|watchdog/i;

/** What a kernel's log newly says of errors, whole lines. */
export type KernelWords = () => readonly string[];

const mostAtOnce = 256 * 1024;

/**
 * Follows a copy of the kernel's log: what stood in it at first, or stood in it before it was begun anew, is not said.
 * A file that is not there says nothing.
 */
export function kernelWords(file: string): KernelWords {
  let [from, unfinished] = [0, ""];
  const said = new Set<string>();
  const newly = (): readonly string[] => {
    const { text, size } = readFrom(file, from);
    // Begun anew: all of this start's log is written once more.
    if (size < from) {
      [from, unfinished] = [0, ""];
      return newly();
    }
    from += Buffer.byteLength(text, "latin1");
    const lines = (unfinished + text).split("\n");
    unfinished = lines.pop() ?? "";
    return lines.filter((line) => {
      if (!errorWords.test(line) || said.has(line)) return false;
      said.add(line);
      return true;
    });
  };
  const all = (): readonly string[] => {
    const found = newly();
    return found.length === 0 && from >= readFrom(file, from).size ? [] : [...found, ...all()];
  };
  all();
  return all;
}

/** By single bytes, so that a sign cut in two is put together by nobody and harms nothing. */
function readFrom(file: string, from: number): { text: string; size: number } {
  let handle: number;
  try {
    handle = openSync(file, "r");
  } catch {
    return { text: "", size: 0 };
  }
  try {
    const { size } = fstatSync(handle);
    const bytes = Buffer.alloc(Math.max(0, Math.min(mostAtOnce, size - from)));
    const count = readSync(handle, bytes, 0, bytes.length, from);
    return { text: bytes.toString("latin1", 0, count), size };
  } finally {
    closeSync(handle);
  }
}
