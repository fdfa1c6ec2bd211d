import { randomBytes } from "node:crypto";
import { parentPort } from "node:worker_threads";
import { type TraceFound, traceFoundIn } from "../answers/heatOfAttempt.ts";
import type { TraceHeatQuestion } from "../answers/heatReckoned.ts";
import { joinJournal } from "../store/file/journal.ts";
import { faultWords } from "./inbox/faultTold.ts";

/** Reads long traces on a connection of its own, so that the server goes on answering. */
parentPort?.on("message", ({ id, request }: Readonly<{ id: number; request: TraceHeatQuestion }>) => {
  try {
    parentPort?.postMessage({ id, answer: answerTo(request) });
  } catch (fault) {
    parentPort?.postMessage({ id, fault: faultWords(fault) });
  }
});

function answerTo({ journalFile, migrations, attemptId, asked }: TraceHeatQuestion): TraceFound | null {
  const journal = joinJournal(journalFile, { migrations, randomBytes });
  try {
    const attempt = journal.attempts.find(attemptId);
    return attempt === undefined ? null : traceFoundIn(journal, attempt, asked);
  } finally {
    journal.close();
  }
}
