import { subscribe, unsubscribe } from "node:diagnostics_channel";
import type { Worker } from "node:worker_threads";

/** Runs `work` with the threads that are begun meanwhile, the newest last. */
export async function withThreads<Result>(work: (threads: Worker[]) => Promise<Result>): Promise<Result> {
  const threads: Worker[] = [];
  const heard = (message: unknown) => threads.push((message as { worker: Worker }).worker);
  subscribe("worker_threads", heard);
  try {
    return await work(threads);
  } finally {
    unsubscribe("worker_threads", heard);
  }
}
