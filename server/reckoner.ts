import path from "node:path";
import { Worker } from "node:worker_threads";
import type { Reckon } from "./answers/reckoned.ts";
import { Refusal } from "./bench/things/refusal.ts";

type Question = Readonly<{ kind: string; request: unknown; resolve(answer: unknown): void }> & {
  reject(error: Error): void;
  /** How many threads have died while they were at it. */
  deaths: number;
};
type Reply = Readonly<{ id: number; answer?: unknown; fault?: string }>;

export type Reckoner = Readonly<{ reckon: Reckon; close(): Promise<void> }>;

export type ReckonerOptions = Readonly<{
  /** Hears of each question that could not be answered, with what is known of the fault. */
  complain?(fault: string): void;
  /** What whoever asked is told where no thread could answer, if not that there is no fit. */
  unanswered?: string;
  /** A thread that has answered nothing for so long is taken to be stuck. */
  patienceMs?: number;
}>;

/** A thread for fits, one for heat runs and one for what other chips have shown, so that none waits behind another. */
export function reckonersIn(folder: string, options: ReckonerOptions = {}): Reckoner {
  const fits = reckonerIn(path.join(folder, "limitFit.cjs"), options);
  const heat = reckonerIn(path.join(folder, "heatRuns.cjs"), options);
  const learning = reckonerIn(path.join(folder, "limitFit.cjs"), options);
  const threadOf = (kind: string): Reckoner =>
    kind === "heat" ? heat : kind === "sharpness" ? learning : fits;
  return {
    reckon: (kind, request) => threadOf(kind).reckon(kind, request),
    close: async () => {
      await Promise.all([fits.close(), heat.close(), learning.close()]);
    },
  };
}

/**
 * Long reckonings, each in a worker thread, so that no page waits behind one. The thread starts with the first. Another
 * takes the place of one that died, and is asked what that one still owed; a question over which two threads have died,
 * or one is stuck, is given back in a sentence.
 */
export function reckonerIn(workerFile: string, options: ReckonerOptions = {}): Reckoner {
  const { complain = () => undefined, patienceMs = 120_000, unanswered = noFit } = options;
  const open = new Map<number, Question>();
  let worker: Worker | null = null;
  let asked = 0;
  let watch: NodeJS.Timeout | undefined;

  /** The clock runs while anything is owed, and starts over with every answer. */
  function watchAnew(): void {
    clearTimeout(watch);
    if (open.size > 0) watch = setTimeout(() => giveUpOldest("It took too long."), patienceMs).unref();
  }

  function giveUpOldest(fault: string): void {
    const [oldest] = open;
    if (oldest) giveBack(...oldest, fault);
    const stuck = worker;
    if (stuck) lose(stuck);
    void stuck?.terminate();
  }

  function giveBack(id: number, question: Question, fault: string): void {
    open.delete(id);
    complain(fault);
    question.reject(Object.assign(new Refusal("internal", unanswered), { cause: fault }));
  }

  /** The oldest question is the one that the thread was at; the others are asked of the next thread as they are. */
  function died(dead: Worker, fault: string): void {
    if (dead !== worker) return;
    const [oldest] = open;
    if (oldest) {
      oldest[1].deaths += 1;
      if (oldest[1].deaths > 1) giveBack(...oldest, fault);
    }
    lose(dead);
  }

  function lose(dead: Worker): void {
    if (dead !== worker) return;
    worker = null;
    for (const [id, { kind, request }] of open) started().postMessage({ id, kind, request });
    watchAnew();
  }

  function answered({ id, answer, fault }: Reply): void {
    const question = open.get(id);
    if (question && fault !== undefined) giveBack(id, question, fault);
    else question?.resolve(answer);
    open.delete(id);
    watchAnew();
  }

  function started(): Worker {
    if (worker) return worker;
    const fresh = new Worker(workerFile);
    worker = fresh;
    fresh.unref();
    fresh.on("message", answered);
    fresh.on("error", (error: Error) => died(fresh, error.stack ?? error.message));
    fresh.on("exit", () => died(fresh, "The thread ended before its time."));
    return fresh;
  }

  return {
    reckon: (kind, request) =>
      new Promise((resolve, reject) => {
        asked += 1;
        open.set(asked, { kind, request, resolve, reject, deaths: 0 });
        started().postMessage({ id: asked, kind, request });
        if (open.size === 1) watchAnew();
      }),
    close: async () => {
      const last = worker;
      worker = null;
      clearTimeout(watch);
      for (const { reject } of open.values()) reject(new Error("The server was closed."));
      open.clear();
      await last?.terminate();
    },
  };
}

const noFit =
  "This could not be worked out from the record as it is. Nothing was changed, and what the record says without a fit stands; the fault has been logged.";
