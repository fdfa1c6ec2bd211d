import type { Worker } from "node:worker_threads";
import { conflict, Refusal } from "../bench/things/refusal.ts";
import { documentReader } from "../csv/documentReader.ts";
import type { Journal } from "../store/file/journal.ts";
import type { GivenAnswer, KeyedRequest } from "./answerOnce.ts";
import type { DocumentJob, FromDocumentWorker, ToDocumentWorker } from "./documentImportMessages.ts";
import { turnOn } from "./journalTurn.ts";
import { feed, threadOn } from "./thread.ts";

export type DocumentQuestion = Readonly<{
  source: AsyncIterable<Uint8Array>;
  journal: Journal;
  migrations: string;
  now: string;
  /** The request it came with, where that carries a key. */
  request: KeyedRequest | null;
}>;

type Done = Extract<FromDocumentWorker, { kind: "done" }>;

/**
 * Merges an exported journal of any size in a worker thread: it is read and looked over first, while all goes on, then
 * taken in whole or not at all, while writes wait their turn. Gives the answer with what came of it.
 */
export async function importDocument(workerFile: string, wanted: DocumentQuestion): Promise<GivenAnswer> {
  const { journal, migrations, now, request } = wanted;
  journal.assertGoing();
  const job: DocumentJob = { journalFile: journal.file, migrations, now, request };
  const source = await documentIn(wanted.source);
  const worker = threadOn(workerFile, job);
  const turn = turnOn(journal);
  try {
    const { given } = await conversation(worker, source, turn.take);
    askNoMore(journal);
    return given;
  } finally {
    await worker.terminate();
    turn.giveBack();
  }
}

/** The same bytes, once they begin like a document: what does not is refused in the reader's own words, without a thread. */
async function documentIn(source: AsyncIterable<Uint8Array>): Promise<AsyncIterable<Uint8Array>> {
  const pieces = source[Symbol.asyncIterator]();
  const first = await pieces.next();
  if (first.done === true || !/^\ufeff?\s*\{/.test(Buffer.from(first.value.subarray(0, 100)).toString())) {
    const reader = documentReader(() => undefined);
    if (first.done !== true) reader.write(first.value);
    reader.end();
  }
  return (async function* () {
    for (let piece = first; piece.done !== true; piece = await pieces.next()) yield piece.value;
  })();
}

function conversation(
  worker: Worker,
  source: AsyncIterable<Uint8Array>,
  takeTurn: () => void,
): Promise<Done> {
  const send = (message: ToDocumentWorker): void => worker.postMessage(message);
  const next = feed(source, worker);
  return new Promise((resolve, reject) => {
    worker.once("error", () => reject(cutShort()));
    worker.once("exit", () => reject(cutShort()));
    worker.on("message", (message: FromDocumentWorker) => {
      if (message.kind === "more") next().catch(reject);
      else if (message.kind === "done") resolve(message);
      else if (message.kind === "refused") reject(new Refusal(message.code, message.message, message.fields));
      else if (message.kind === "failed") reject(new Error(message.message));
      else {
        try {
          takeTurn();
          send({ kind: "keep" });
        } catch (error) {
          reject(error);
        }
      }
    });
  });
}

const cutShort = (): Refusal =>
  conflict(
    "The import was cut short. It is taken in whole or not at all: import it again, and what is here already stays as it is.",
  );

/** What an import ended need not be asked about any more. */
function askNoMore({ attempts, interrupted }: Journal): void {
  for (const id of interrupted) if (attempts.find(id)?.outcome !== "running") interrupted.delete(id);
}
