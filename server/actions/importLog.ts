import { Worker } from "node:worker_threads";
import type { ColumnMatch } from "../bench/logs/columnMatch.ts";
import type { LogLimits } from "../bench/logs/logLimits.ts";
import { conflict, Refusal } from "../bench/things/refusal.ts";
import type { PackedTrace } from "../store/traces/tracePacking.ts";
import type { FromLogWorker, ImportedLog, LogJob, LogKeeping, ToLogWorker } from "./logImportMessages.ts";

export type LogWanted = Readonly<{
  source: AsyncIterable<Buffer>;
  limits: LogLimits;
  keep: LogKeeping | null;
  /** The matches to read by, once the header is known: as sent, as remembered, or as proposed. */
  matchesFor: (names: readonly string[], proposal: readonly ColumnMatch[]) => readonly ColumnMatch[];
  onProgress?: ((progress: { bytes: number; rows: number }) => void) | undefined;
  signal?: AbortSignal | undefined;
}>;

export type LogTaken = Readonly<{ log: ImportedLog; trace: PackedTrace | null }>;

/**
 * Reads, packs and keeps a log in a worker thread, so that the server goes on answering. Whatever goes wrong on the way,
 * a cancellation too, leaves the journal as it was.
 */
export async function importLog(workerFile: string, wanted: LogWanted): Promise<LogTaken> {
  wanted.signal?.throwIfAborted();
  const job: LogJob = { limits: wanted.limits, keep: wanted.keep };
  const worker = new Worker(workerFile, { workerData: job });
  try {
    return await conversation(worker, wanted);
  } finally {
    await worker.terminate();
  }
}

function conversation(worker: Worker, wanted: LogWanted): Promise<LogTaken> {
  const send = (message: ToLogWorker): void => worker.postMessage(message);
  const feed = feeder(wanted.source, worker);
  return new Promise((resolve, reject) => {
    const stop = (): void => {
      send({ kind: "stop" });
      reject(wanted.signal?.reason);
    };
    wanted.signal?.addEventListener("abort", stop, { once: true });
    worker.once("error", () => reject(cutShort()));
    worker.once("exit", () => reject(cutShort()));
    worker.on("message", (message: FromLogWorker) => {
      if (message.kind === "more") feed().catch(reject);
      else if (message.kind === "progress") wanted.onProgress?.(message);
      else if (message.kind === "done") resolve({ log: message.log, trace: withBuffers(message.trace) });
      else if (message.kind === "refused") reject(new Refusal(message.code, message.message, message.fields));
      else if (message.kind === "failed") reject(new Error(message.message));
      else {
        try {
          send({ kind: "matches", matches: wanted.matchesFor(message.names, message.proposal) });
        } catch (error) {
          reject(error);
        }
      }
    });
  });
}

const cutShort = (): Refusal =>
  conflict("The reading of the log was cut short, and nothing of it was kept. Read it again.");

/**
 * Hands over one buffer each time it is called: the worker asks for the next when it has room. A buffer that shares its
 * memory with nothing else is given away instead of copied.
 */
function feeder(source: AsyncIterable<Buffer>, worker: Worker): () => Promise<void> {
  const buffers = source[Symbol.asyncIterator]();
  return async () => {
    const next = await buffers.next();
    const message: ToLogWorker = next.done === true ? { kind: "end" } : { kind: "bytes", bytes: next.value };
    const memory = message.kind === "bytes" ? message.bytes.buffer : undefined;
    const isWhole = memory instanceof ArrayBuffer && memory.byteLength === next.value?.byteLength;
    worker.postMessage(message, isWhole ? [memory] : []);
  };
}

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
