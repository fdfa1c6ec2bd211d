import { Refusal } from "../../bench/things/refusal.ts";
import { codeOf } from "./fileWords.ts";

/** Why a journal is open to read and nothing is written to it, in a sentence for its owner. */
export type Stop = Readonly<{ because: "read-only" | "damaged" | "log-gone" | "restoring"; words: string }>;

/** Whether a journal may be written; what reads and writes it tells of the faults it meets. */
export type Stopping = Readonly<{
  stopped(): Stop | null;
  stop(stop: Stop): void;
  /** Throws where nothing may be written: for work that another connection is to do. */
  assertGoing(): void;
  /** Lets writing go on. */
  goOn(): void;
  /** What a fault met in this journal's file means for whoever asked; null where it is a fault of another kind. */
  refusalOf(error: unknown): Refusal | null;
}>;

export function stoppingOf(file: string): Stopping {
  let stop: Stop | null = null;
  return {
    stopped: () => stop,
    stop: (wanted) => {
      stop = wanted;
    },
    goOn: () => {
      stop = null;
    },
    assertGoing: () => {
      if (stop) throw refusalTo(stop);
    },
    refusalOf(error) {
      const words = damageWords(error, file);
      if (words === null) return null;
      if (stop?.because !== "damaged") stop = { because: "damaged", words };
      return new Refusal("stopped", words);
    },
  };
}

export const refusalTo = ({ words }: Stop): Refusal => new Refusal("stopped", words);

/** What to do about a file that can no longer be trusted. */
const remedies = (file: string): string =>
  `What can still be read of ${file} is shown, and nothing more is written to it. "rungbook check" says what is damaged, "rungbook export FILE" saves what can be read and says what could not, and "rungbook restore FILE" puts a backup in its place.`;

const diskFaults = [
  "SQLITE_IOERR_READ",
  "SQLITE_IOERR_SHORT_READ",
  "SQLITE_IOERR_FSYNC",
  "SQLITE_IOERR_CORRUPTFS",
];

function damageWords(error: unknown, file: string): string | null {
  const code = codeOf(error);
  if (diskFaults.includes(code)) return `The disk failed under the journal. ${remedies(file)}`;
  if (code.startsWith("SQLITE_CORRUPT") || code === "SQLITE_NOTADB" || saysMalformed(error))
    return `The journal is damaged. ${remedies(file)}`;
  return null;
}

/** A fault from another thread has only its words left. */
const saysMalformed = (error: unknown): boolean =>
  error instanceof Error &&
  `${error.message} ${error.cause ?? ""}`.includes("database disk image is malformed");
