import path from "node:path";
import { Worker } from "node:worker_threads";
import type { Reckon } from "./answers/reckoned.ts";

type Waiting = { resolve(answer: unknown): void; reject(error: Error): void };
type Reply = Readonly<{ id: number; answer?: unknown; fault?: string }>;

export type Reckoner = Readonly<{ reckon: Reckon; close(): Promise<void> }>;

/** A thread for fits and one for heat runs, so that neither waits behind the other. */
export function reckonersIn(folder: string): Reckoner {
  const fits = reckonerIn(path.join(folder, "limitFit.cjs"));
  const heat = reckonerIn(path.join(folder, "heatRuns.cjs"));
  return {
    reckon: (kind, request) => (kind === "heat" ? heat : fits).reckon(kind, request),
    close: async () => {
      await Promise.all([fits.close(), heat.close()]);
    },
  };
}

/** Long reckonings, each in a worker thread, so that no page waits behind one. The thread starts with the first. */
function reckonerIn(workerFile: string): Reckoner {
  const waiting = new Map<number, Waiting>();
  let worker: Worker | null = null;
  let asked = 0;

  function failAll(error: Error): void {
    for (const one of waiting.values()) one.reject(error);
    waiting.clear();
    worker = null;
  }

  function started(): Worker {
    if (worker) return worker;
    const fresh = new Worker(workerFile);
    fresh.unref();
    fresh.on("message", ({ id, answer, fault }: Reply) => {
      const one = waiting.get(id);
      waiting.delete(id);
      if (fault !== undefined) one?.reject(new Error(fault));
      else one?.resolve(answer);
    });
    fresh.on("error", failAll);
    fresh.on("exit", () => failAll(new Error("The reckoning was cut short.")));
    worker = fresh;
    return fresh;
  }

  return {
    reckon: (kind, request) =>
      new Promise((resolve, reject) => {
        asked += 1;
        waiting.set(asked, { resolve: resolve as Waiting["resolve"], reject });
        started().postMessage({ id: asked, kind, request });
      }),
    close: async () => {
      await worker?.terminate();
    },
  };
}
