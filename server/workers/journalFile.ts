import { randomBytes } from "node:crypto";
import path from "node:path";
import { parentPort } from "node:worker_threads";
import { exportDamaged, rescuedInto } from "../actions/exportFile.ts";
import type { FileAnswer, FileWork } from "../actions/journalFiles.ts";
import { Refusal } from "../bench/things/refusal.ts";
import { backUpInto } from "../store/file/backupFolder.ts";
import { faultsOfFile } from "../store/file/journalFile.ts";
import { lockInto } from "../store/file/locked.ts";
import { replaceOpen, takeLogIn } from "../store/file/replacing.ts";
import { faultWords } from "./inbox/faultTold.ts";

/** Works on the journal's file and its backups, so that the server goes on answering. */
parentPort?.on("message", ({ id, request }: Readonly<{ id: number; request: FileWork }>) => {
  answerTo(request)
    .then((answer) => parentPort?.postMessage({ id, answer }))
    .catch((fault: unknown) => parentPort?.postMessage({ id, fault: faultWords(fault) }));
});

async function answerTo(work: FileWork): Promise<FileAnswer> {
  try {
    return { done: await doneOf(work) };
  } catch (error) {
    if (error instanceof Refusal) return { refused: { code: error.code, message: error.message } };
    throw error;
  }
}

async function doneOf(work: FileWork): Promise<unknown> {
  switch (work.kind) {
    case "take-log-in":
      return takeLogIn(work.journal);
    case "back-up":
      return backUpInto(work.folder, work.journal, work.now);
    case "look-over":
      return faultsOfFile(work.file);
    case "lock":
      return lockInto(work.to, work.plain, work.words);
    case "export-damaged":
      return exportDamaged(work.journal, work.to, work.now, { migrations: work.migrations, randomBytes });
    case "rescue":
      return rescuedInto(work.journal, work.to, { migrations: work.migrations, randomBytes });
    case "replace":
      return replaceOpen(work.journal, path.join(work.folder, work.backup), work.now, {
        migrations: work.migrations,
        randomBytes,
      });
  }
}
