import { closeSync, createReadStream, createWriteStream, openSync, readSync } from "node:fs";
import { Readable, Writable } from "node:stream";
import { Refusal } from "../../bench/things/refusal.ts";
import { placeWholeLater } from "./backingUp.ts";
import { codeOf } from "./fileWords.ts";
import { removed } from "./journalFile.ts";

/** Files locked with words, in the age format, version 1 (C2SP): other programs that know it open them too. */
const start = "age-encryption.org/v1\n";

/** Whether a file begins as a locked one does. */
export function isLocked(file: string): boolean {
  const handle = openedToRead(file);
  if (handle === null) return false;
  try {
    const bytes = Buffer.alloc(start.length);
    return readSync(handle, bytes) === bytes.length && bytes.toString("latin1") === start;
  } catch {
    return false;
  } finally {
    closeSync(handle);
  }
}

/** What cannot be read is said by whoever needs what is in it. */
function openedToRead(file: string): number | null {
  try {
    return openSync(file, "r");
  } catch {
    return null;
  }
}

/** Locks a copy of a file; it gets its name once it is whole and on the disk, or never. */
export function lockInto(file: string, plain: string, words: string): Promise<void> {
  return placeWholeLater(file, async (making) => {
    const { Encrypter } = await import("age-encryption");
    const encrypter = new Encrypter();
    encrypter.setPassphrase(words);
    await written(await encrypter.encrypt(streamOf(plain)), making);
  });
}

/** Opens a locked file into another, which nobody else may read. Throws a Refusal where the words are others, or it is damaged. */
export async function openLocked(file: string, into: string, words: string): Promise<void> {
  const { Decrypter } = await import("age-encryption");
  const decrypter = new Decrypter();
  decrypter.addPassphrase(words);
  const opened = await decrypter.decrypt(streamOf(file)).catch((error: unknown) => {
    throw new Refusal(
      "invalid",
      `These words do not open ${file} (${sentenceOf(error)}). Nothing was changed.`,
    );
  });
  try {
    await written(opened, into);
  } catch (error) {
    removed(into);
    // What the file system says is told as it is.
    if (codeOf(error) !== "") throw error;
    throw new Refusal(
      "invalid",
      `${file} is cut short or damaged, and cannot be opened whole. Nothing was changed.`,
    );
  }
}

const streamOf = (file: string) => Readable.toWeb(createReadStream(file)) as ReadableStream<Uint8Array>;

const written = (stream: ReadableStream<Uint8Array>, file: string): Promise<void> =>
  stream.pipeTo(
    Writable.toWeb(createWriteStream(file, { flags: "wx", mode: 0o600 })) as WritableStream<Uint8Array>,
  );

const sentenceOf = (error: unknown): string =>
  error instanceof Error ? error.message.replace(/\.$/, "") : String(error);
