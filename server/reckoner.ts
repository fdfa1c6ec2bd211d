import { once } from "node:events";
import path from "node:path";
import { setTimeout as pause } from "node:timers/promises";
import type { Worker } from "node:worker_threads";
import { threadOn } from "./actions/thread.ts";
import type { Demand, Reckon } from "./answers/reckoned.ts";
import { Refusal } from "./bench/things/refusal.ts";

type Question = Readonly<{ kind: string; request: unknown; demand(): Demand }> & {
  resolve(answer: unknown): void;
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
  /** A thread that was asked nothing for so long is ended, since it keeps what it took for its last answers. */
  idleMs?: number;
  /** How long what a thread is at may go on when the reckoner is closed: one that is cut off in a file may end the program. */
  lingerMs?: number;
}>;

/** A thread for fits, one for heat runs and one for what other chips have shown, so that none waits behind another. */
export function reckonersIn(folder: string, options: ReckonerOptions = {}): Reckoner {
  const fits = reckonerIn(path.join(folder, "limitFit.cjs"), options);
  const heat = reckonerIn(path.join(folder, "heatRuns.cjs"), options);
  const learning = reckonerIn(path.join(folder, "limitFit.cjs"), options);
  const threadOf = (kind: string): Reckoner =>
    kind === "heat" ? heat : kind === "sharpness" ? learning : fits;
  return {
    reckon: (kind, request, demand) => threadOf(kind).reckon(kind, request, demand),
    close: async () => {
      await Promise.all([fits.close(), heat.close(), learning.close()]);
    },
  };
}

/**
 * Long reckonings, one after the other in a worker thread, so that no page waits behind one: first what somebody waits
 * for, in order, then what nothing is shown for yet, then the rest, each time what was asked last, for that is looked at
 * now. The thread starts with the first question, and with
 * the first after a rest. Another takes the place of one that died, and is asked what that one still owed; a question over
 * which two threads have died, or one is stuck, is given back in a sentence.
 */
export function reckonerIn(workerFile: string, options: ReckonerOptions = {}): Reckoner {
  const { complain = () => undefined, patienceMs = 120_000, lingerMs = 0, unanswered = noFit } = options;
  const { idleMs = 120_000 } = options;
  const open = new Map<number, Question>();
  let worker: Worker | null = null;
  /** The question that the thread is at. */
  let at: number | null = null;
  let asked = 0;
  let watch: NodeJS.Timeout | undefined;

  function askNext(): void {
    if (at !== null) return;
    leaveOutdated();
    at = nextOf(open);
    const question = at === null ? undefined : open.get(at);
    if (question === undefined) return;
    started().postMessage({ id: at, kind: question.kind, request: question.request });
    watchAnew();
  }

  function leaveOutdated(): void {
    for (const [id, { demand, reject }] of open) {
      if (demand() !== "outdated") continue;
      open.delete(id);
      reject(new Refusal("conflict", "The record has moved on from this question."));
    }
  }

  /** The clock runs while anything is owed, and starts over with every answer; another runs while nothing is. */
  function watchAnew(): void {
    clearTimeout(watch);
    if (open.size > 0) watch = setTimeout(() => giveUp("It took too long."), patienceMs).unref();
    else if (worker) watch = setTimeout(dismiss, idleMs).unref();
  }

  function dismiss(): void {
    const idle = worker;
    worker = null;
    void idle?.terminate();
  }

  function giveUp(fault: string): void {
    giveBack(fault);
    const stuck = worker;
    if (stuck) lose(stuck);
    void stuck?.terminate();
  }

  function giveBack(fault: string): void {
    const question = taken();
    complain(fault);
    question?.reject(Object.assign(new Refusal("internal", unanswered), { cause: fault }));
  }

  /** The question that the thread is at, which is owed no longer. */
  function taken(): Question | undefined {
    const question = at === null ? undefined : open.get(at);
    if (at !== null) open.delete(at);
    at = null;
    return question;
  }

  /** The question that the thread was at is asked again of the next, once. */
  function died(dead: Worker, fault: string): void {
    if (dead !== worker) return;
    const question = at === null ? undefined : open.get(at);
    if (question) {
      question.deaths += 1;
      if (question.deaths > 1) giveBack(fault);
    }
    lose(dead);
  }

  function lose(dead: Worker): void {
    if (dead !== worker) return;
    worker = null;
    at = null;
    watchAnew();
    askNext();
  }

  function answered({ id, answer, fault }: Reply): void {
    if (id !== at) return;
    if (fault === undefined) taken()?.resolve(answer);
    else giveBack(fault);
    watchAnew();
    askNext();
  }

  function started(): Worker {
    if (worker) return worker;
    const fresh = threadOn(workerFile);
    worker = fresh;
    fresh.unref();
    fresh.on("message", answered);
    fresh.on("error", (error: Error) => died(fresh, error.stack ?? error.message));
    fresh.on("exit", () => died(fresh, "The thread ended before its time."));
    return fresh;
  }

  return {
    reckon: (kind, request, demand) =>
      new Promise((resolve, reject) => {
        asked += 1;
        open.set(asked, { kind, request, demand: demand ?? (() => "awaited"), resolve, reject, deaths: 0 });
        if (demand === undefined) askNext();
        else setImmediate(() => (demand() === "awaited" ? askNext() : setTimeout(askNext, laterMs)));
      }),
    close: async () => {
      const last = worker;
      const isAtWork = at !== null;
      worker = null;
      at = null;
      clearTimeout(watch);
      for (const { reject } of open.values()) reject(new Error("The server was closed."));
      open.clear();
      if (last && isAtWork && lingerMs > 0) await lastWordOf(last, lingerMs);
      await last?.terminate();
    },
  };
}

/** Until a thread says something, ends, or has had its time. */
async function lastWordOf(worker: Worker, mostMs: number): Promise<void> {
  const over = new AbortController();
  const { signal } = over;
  const first = [once(worker, "message", { signal }), once(worker, "exit", { signal })];
  await Promise.race([...first, pause(mostMs, undefined, { signal })]).catch(() => undefined);
  over.abort();
}

/** The first that somebody waits for, else the last asked of those that nothing is shown for yet, else the last asked. */
function nextOf(open: ReadonlyMap<number, Question>): number | null {
  let lacking: number | null = null;
  let latest: number | null = null;
  for (const [id, { demand }] of open) {
    const wanted = demand();
    if (wanted === "awaited") return id;
    if (wanted === "lacking") lacking = id;
    latest = id;
  }
  return lacking ?? latest;
}

/** What a thread is to work on is copied, which takes long where it is much: a page that does not wait for it goes out first. */
const laterMs = 10;

const noFit =
  "This could not be worked out from the record as it is. Nothing was changed, and what the record says without a fit stands; the fault has been logged.";
