import { Worker } from "node:worker_threads";

/**
 * A thread that runs a file of the build. It takes none of the options this process was started with: what reads sources
 * for a developer, say, would be started in each thread too.
 */
export const threadOn = (file: string, workerData?: unknown): Worker =>
  new Worker(file, { workerData, execArgv: [] });
