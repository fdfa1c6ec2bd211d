import { Worker } from "node:worker_threads";

/**
 * A thread that runs a file of the build. It takes none of the options this process was started with: what reads sources
 * for a developer, say, would be started in each thread too.
 */
export const threadOn = (file: string, workerData?: unknown): Worker =>
  new Worker(file, { workerData, execArgv: [] });

/**
 * Hands over one buffer each time it is called: the worker asks for the next when it has room. A buffer that shares its
 * memory with nothing else is given away instead of copied.
 */
export function feed(source: AsyncIterable<Uint8Array>, worker: Worker): () => Promise<void> {
  const buffers = source[Symbol.asyncIterator]();
  return async () => {
    const next = await buffers.next();
    const message = next.done === true ? { kind: "end" } : { kind: "bytes", bytes: next.value };
    const memory = message.bytes?.buffer;
    const isWhole = memory instanceof ArrayBuffer && memory.byteLength === message.bytes?.byteLength;
    worker.postMessage(message, isWhole ? [memory] : []);
  };
}
