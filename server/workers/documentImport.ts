import { randomBytes } from "node:crypto";
import { parentPort, workerData } from "node:worker_threads";
import { answerOnce, answerText, type GivenAnswer } from "../actions/answerOnce.ts";
import type { DocumentJob, FromDocumentWorker, ToDocumentWorker } from "../actions/documentImportMessages.ts";
import { mergeJournal } from "../actions/mergeJournal.ts";
import { type Reference, referencesOutside } from "../actions/mergeReferences.ts";
import { documentReader } from "../csv/documentReader.ts";
import { joinJournal, muchHeldKib } from "../store/file/journal.ts";
import { type StagedDocument, stagedDocument } from "../store/file/stagedDocument.ts";
import { endTold } from "./inbox/faultTold.ts";
import { inboxOf } from "./inbox/inbox.ts";

/** Reads an exported journal sent in buffers, lays it out on the disk, and merges it in one transaction. */
const port = parentPort;
if (port === null) throw new Error("This runs as a worker thread.");
const job = workerData as DocumentJob;
const tell = (message: FromDocumentWorker): void => port.postMessage(message);
const inbox = inboxOf<ToDocumentWorker>(port);

async function staged(document: StagedDocument): Promise<void> {
  const reader = documentReader(document.keep);
  for await (const bytes of inbox.bytes()) reader.write(bytes);
  reader.end();
}

function merged(document: StagedDocument, outside: readonly Reference[]): GivenAnswer {
  const journal = joinJournal(job.journalFile, {
    migrations: job.migrations,
    randomBytes,
    heldKib: muchHeldKib,
  });
  try {
    const at = { journal, now: job.now };
    const merge = () => mergeJournal(document, at, outside);
    return journal.writeNow(() =>
      job.request === null
        ? { status: 200, answer: answerText(merge()) }
        : answerOnce(job.request, document.print(), at, merge),
    );
  } finally {
    journal.close();
  }
}

async function run(): Promise<void> {
  const document = stagedDocument();
  try {
    await staged(document);
    const outside = referencesOutside(document);
    tell({ kind: "keeping" });
    await inbox.next("keep");
    tell({ kind: "done", given: merged(document, outside) });
  } finally {
    document.close();
  }
}

run().catch((error: unknown) => tell(endTold(error)));
