import { LRUCache } from "lru-cache";
import type { Journal } from "../store/file/journal.ts";
import { isLong, printedInTurn, printOf } from "./prints.ts";

/**
 * Who is served by an answer: somebody waits for it, a page has nothing to show without it, one takes it in place of what
 * it shows, or the record has moved on from it.
 */
export type Demand = "awaited" | "lacking" | "wanted" | "outdated";

/**
 * A question that rests on much. What has to be read for it is read first, a piece each time `read` is gone on with, which
 * may give the long rows that the request is made of; then the request costs little. It goes out as `packed` leaves it,
 * where that is worked out piece by piece too.
 */
export type LongQuestion<Request> = Readonly<{
  read: () => Iterator<readonly unknown[] | undefined>;
  request: () => Request;
  packed: (request: Request) => Generator<undefined, unknown>;
}>;

/**
 * Hands a request, which is plain data, to wherever long reckonings are done, and resolves with its answer. `demand` may be
 * asked at any time until then: what is awaited goes first, what is outdated may be left undone and rejected.
 */
export type Reckon = (kind: string, request: unknown, demand?: () => Demand) => Promise<unknown>;

/** An answer with whether anything was written since that it rests on. */
export type Latest<Answer> = Readonly<{ answer: Answer; fresh: boolean }>;

export type Reckonings = Readonly<{
  /** The answer on the journal as it is now; waits for it, until `enough` comes, after which nobody does any longer. */
  now<Answer>(
    kind: string,
    question: string,
    request: () => unknown,
    enough?: Promise<unknown> | undefined,
  ): Promise<Answer>;
  /** The last answer known, at once, or null; a stale or missing one is reckoned again meanwhile. */
  latest<Answer>(kind: string, question: string, request: () => unknown): Latest<Answer> | null;
  /**
   * The last answer known, or null, for one of many questions that rest on much: what has to be looked at again is looked at
   * afterwards, one piece in each turn of the loop, so that nobody waits for all of it.
   */
  inTurn<Answer, Request>(kind: string, question: string, long: LongQuestion<Request>): Latest<Answer> | null;
  /** Whether the last reckoning of this question that came to an end failed. */
  hasFailed(kind: string, question: string): boolean;
}>;

type KeptReckoning = {
  revision: number;
  /** Tells its request from another; null after it failed. */
  print: string | null;
  answer: Promise<unknown>;
  last: Latest<unknown> | null;
  failed: boolean;
  served: Served;
};

type Served = { waiting: number; movedOn: boolean; readonly isFirst: boolean };

function demandOf({ waiting, movedOn, isFirst }: Served): Demand {
  if (waiting > 0) return "awaited";
  if (movedOn) return "outdated";
  return isFirst ? "lacking" : "wanted";
}

/** So many questions are kept answered, some for every build of a large journal; the one not asked for longest goes first. */
const mostKept = 1000;

/**
 * Answers that take long, kept for as long as what they rest on has not changed: a caption, a heartbeat or the writer's
 * own words begin nothing anew.
 */
export function reckoningsOn(journal: Pick<Journal, "revision">, reckon: Reckon): Reckonings {
  const kept = new LRUCache<string, KeptReckoning>({ max: mostKept });

  function current(kind: string, question: string, request: () => unknown): KeptReckoning {
    const key = `${kind} ${question}`;
    const found = kept.get(key);
    const revision = journal.revision();
    const one = found?.revision === revision ? found : looked(kind, revision, request, found);
    kept.set(key, one);
    return one;
  }

  /** Something was written since: the answer stands all the same where the question comes to the same request. */
  function looked(
    kind: string,
    revision: number,
    request: () => unknown,
    found: KeptReckoning | undefined,
  ): KeptReckoning {
    const wanted = request();
    const print = printOf(wanted);
    if (found?.print !== print) return begun(kind, revision, wanted, print, found);
    found.revision = revision;
    return found;
  }

  function begun(
    kind: string,
    revision: number,
    request: unknown,
    print: string,
    before: KeptReckoning | undefined,
  ): KeptReckoning {
    const last = before?.last;
    if (before) before.served.movedOn = true;
    const served: Served = { waiting: 0, movedOn: false, isFirst: last == null };
    const one: KeptReckoning = {
      revision,
      print,
      served,
      answer: reckon(kind, request, () => demandOf(served)),
      last: last ? { ...last, fresh: false } : null,
      failed: before?.failed ?? false,
    };
    one.answer.then(
      (answer) => {
        one.last = { answer, fresh: true };
        one.failed = false;
      },
      () => {
        one.revision = -1; // a reckoning that failed is tried again when next asked
        one.print = null;
        one.failed = true;
      },
    );
    return one;
  }

  const waiting = new Map<string, Iterator<undefined>>();

  function takeTurn(): void {
    const [next] = waiting;
    if (next === undefined) return;
    const [key, turns] = next;
    try {
      if (turns.next().done) waiting.delete(key);
    } catch {
      waiting.delete(key); // a journal that is closed or cannot be read: whoever asks next has it looked at again
    }
    if (waiting.size > 0) setImmediate(takeTurn).unref();
  }

  /** Reads and prints piece by piece, then begins the question where it comes to another request than before. */
  function* turnsOf<Request>(kind: string, key: string, long: LongQuestion<Request>): Generator<undefined> {
    for (const read = long.read(); ; ) {
      const { done, value } = read.next();
      if (done) break;
      if (value && isLong(value)) yield* printedInTurn(value);
      else yield;
    }
    const revision = journal.revision();
    const wanted = long.request();
    const print = printOf(wanted);
    const found = kept.get(key);
    if (found?.print === print) found.revision = revision;
    else kept.set(key, begun(kind, revision, yield* long.packed(wanted), print, found));
  }

  return {
    inTurn: <Answer, Request>(kind: string, question: string, long: LongQuestion<Request>) => {
      const key = `${kind} ${question}`;
      const found = kept.get(key);
      if (found?.revision !== journal.revision() && !waiting.has(key)) {
        if (waiting.size === 0) setImmediate(takeTurn).unref();
        waiting.set(key, turnsOf(kind, key, long));
      }
      return (found?.last ?? null) as Latest<Answer> | null;
    },
    now: <Answer>(kind: string, question: string, request: () => unknown, enough?: Promise<unknown>) => {
      const { served, answer } = current(kind, question, request);
      served.waiting += 1;
      void enough?.then(() => {
        served.waiting -= 1;
      });
      return answer as Promise<Answer>;
    },
    latest: <Answer>(kind: string, question: string, request: () => unknown) =>
      current(kind, question, request).last as Latest<Answer> | null,
    hasFailed: (kind, question) => kept.get(`${kind} ${question}`)?.failed ?? false,
  };
}
