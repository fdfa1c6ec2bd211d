import type { Worker } from "node:worker_threads";
import type { ColumnMatch } from "../bench/logs/columnMatch.ts";
import type { LogLimits } from "../bench/logs/logLimits.ts";
import { conflict, Refusal } from "../bench/things/refusal.ts";
import type { TableTold } from "../csv/logShape.ts";
import type { PackedTrace } from "../store/traces/tracePacking.ts";
import type { GivenAnswer } from "./answerOnce.ts";
import type { FromLogWorker, ImportedLog, LogJob, LogKeeping, ToLogWorker } from "./logImportMessages.ts";
import { feed, threadOn } from "./thread.ts";

export type LogQuestion = Readonly<{
  source: AsyncIterable<Buffer>;
  limits: LogLimits;
  keep: LogKeeping | null;
  table?: TableTold | undefined;
  /** Lets writes wait until what it gives is called. */
  holdWrites?: () => () => void;
  /** The matches to read by, once the header is known: as sent, as remembered, or as proposed. */
  matchesFor: (names: readonly string[], proposal: readonly ColumnMatch[]) => readonly ColumnMatch[];
  onProgress?: ((progress: { bytes: number; rows: number }) => void) | undefined;
  signal?: AbortSignal | undefined;
}>;

export type LogTaken = Readonly<{
  log: ImportedLog;
  trace: PackedTrace | null;
  /** What is answered, where the worker has kept it. */
  given: GivenAnswer | null;
}>;

/**
 * Reads, packs and keeps a log in a worker thread, so that the server goes on answering. Whatever goes wrong on the way,
 * a cancellation too, leaves the journal as it was.
 */
export async function importLog(workerFile: string, wanted: LogQuestion): Promise<LogTaken> {
  wanted.signal?.throwIfAborted();
  const job: LogJob = { limits: wanted.limits, keep: wanted.keep, table: wanted.table };
  const worker = threadOn(workerFile, job);
  let giveBack: (() => void) | undefined;
  const takeTurn = (): void => {
    giveBack = wanted.holdWrites?.();
  };
  try {
    return await conversation(worker, wanted, takeTurn);
  } finally {
    await worker.terminate();
    giveBack?.();
  }
}

function conversation(worker: Worker, wanted: LogQuestion, takeTurn: () => void): Promise<LogTaken> {
  const send = (message: ToLogWorker): void => worker.postMessage(message);
  const next = feed(wanted.source, worker);
  return new Promise((resolve, reject) => {
    const stop = (): void => {
      send({ kind: "stop" });
      reject(wanted.signal?.reason);
    };
    wanted.signal?.addEventListener("abort", stop, { once: true });
    worker.once("error", () => reject(cutShort()));
    worker.once("exit", () => reject(cutShort()));
    worker.on("message", (message: FromLogWorker) => {
      if (message.kind === "more") next().catch(reject);
      else if (message.kind === "progress") wanted.onProgress?.(message);
      else if (message.kind === "done")
        resolve({ log: message.log, trace: withBuffers(message.trace), given: message.given });
      else if (message.kind === "refused") reject(new Refusal(message.code, message.message, message.fields));
      else if (message.kind === "failed") reject(new Error(message.message));
      else {
        try {
          if (message.kind === "keeping") {
            takeTurn();
            send({ kind: "keep" });
          } else send({ kind: "matches", matches: wanted.matchesFor(message.names, message.proposal) });
        } catch (error) {
          reject(error);
        }
      }
    });
  });
}

const cutShort = (): Refusal =>
  conflict("The reading of the log was cut short. A log is kept whole or not at all: read it again.");

/** Between threads a Buffer arrives as plain bytes. */
function withBuffers(trace: PackedTrace | null): PackedTrace | null {
  if (trace === null) return null;
  const asBuffer = (bytes: Uint8Array): Buffer =>
    Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const channels = trace.channels.map((channel) => ({
    ...channel,
    chunks: channel.chunks.map(asBuffer),
    overviews: channel.overviews.map(({ level, blob }) => ({ level, blob: asBuffer(blob) })),
  }));
  return { ...trace, channels };
}
