import type { Worker } from "node:worker_threads";

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
