import { Worker } from "node:worker_threads";
import { conflict, Refusal } from "../bench/things/refusal.ts";
import type { Journal } from "../store/file/journal.ts";
import type { GivenAnswer, KeyedRequest } from "./answerOnce.ts";
import type { DocumentJob, FromDocumentWorker, ToDocumentWorker } from "./documentImportMessages.ts";
import { feed } from "./feed.ts";

export type DocumentWanted = Readonly<{
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
export async function importDocument(workerFile: string, wanted: DocumentWanted): Promise<GivenAnswer> {
  const { journal, migrations, now, request } = wanted;
  const job: DocumentJob = { journalFile: journal.file, migrations, now, request };
  const worker = new Worker(workerFile, { workerData: job });
  const turn = turnOn(journal);
  try {
    const { given, running } = await conversation(worker, wanted.source, turn.take);
    askAbout(running, journal);
    return given;
  } finally {
    await worker.terminate();
    turn.giveBack();
  }
}

/** The journal is the worker's alone for as long as its transaction takes. */
function turnOn(journal: Journal) {
  let giveBack: (() => void) | null = null;
  return {
    take: (): void => {
      giveBack ??= journal.holdWrites();
    },
    giveBack: (): void => giveBack?.(),
  };
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
        takeTurn();
        send({ kind: "keep" });
      }
    });
  });
}

const cutShort = (): Refusal =>
  conflict(
    "The import was cut short. It is taken in whole or not at all: import it again, and what is here already stays as it is.",
  );

/** What still ran elsewhere is asked about like after a crash; what an import ended need not be asked about any more. */
function askAbout(running: readonly string[], { attempts, interrupted }: Journal): void {
  for (const id of interrupted) if (attempts.find(id)?.outcome !== "running") interrupted.delete(id);
  for (const id of running) interrupted.add(id);
}
