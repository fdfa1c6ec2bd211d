import path from "node:path";
import type { Worker } from "node:worker_threads";
import { conflict, Refusal } from "../bench/things/refusal.ts";
import type { Journal } from "../store/file/journal.ts";
import type { FromImportWorker, ImportAnswer, ImportJob, ImportRequest } from "./importMessages.ts";
import { turnOn } from "./journalTurn.ts";
import { threadOn } from "./thread.ts";

/** What looking at a file of attempts stands on: the journal, and the folder of the worker that reads it. */
type ImportRooms = Readonly<{ journal: Journal; now(): string; workers: string; migrations: string }>;

/**
 * Looks at a file of attempts, or takes it in, in a worker thread, so that the server goes on answering; writes wait
 * while the lines are put in. Refused in a sentence where the file cannot be read or the thread ends before its time.
 */
export async function importFile<Sent extends ImportRequest>(
  { journal, now, workers, migrations }: ImportRooms,
  asked: Sent,
): Promise<ImportAnswer> {
  const job: ImportJob = { journalFile: journal.file, migrations, now: now(), asked };
  const worker = threadOn(path.join(workers, "attemptsImport.cjs"), job);
  const turn = turnOn(journal);
  try {
    return await answerOf(worker, turn.take);
  } finally {
    await worker.terminate();
    turn.giveBack();
  }
}

function answerOf(worker: Worker, takeTurn: () => void): Promise<ImportAnswer> {
  return new Promise((resolve, reject) => {
    worker.once("error", () => reject(cutShort()));
    worker.once("exit", () => reject(cutShort()));
    worker.on("message", (message: FromImportWorker) => {
      if (message.kind === "done") resolve(message.answer);
      else if (message.kind === "refused") reject(new Refusal(message.code, message.message, message.fields));
      else if (message.kind === "failed") reject(new Error(message.message));
      else {
        try {
          takeTurn();
          worker.postMessage({ kind: "keep" });
        } catch (error) {
          reject(error);
        }
      }
    });
  });
}

const cutShort = (): Refusal =>
  conflict(
    "The import was cut short. It is taken in one commit or not at all: import it again, and what is here already stays as it is.",
  );
