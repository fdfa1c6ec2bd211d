import type { Journal } from "../store/journal.ts";

/** Hands a request to wherever long reckonings are done, and resolves with its answer. */
export type Reckon = (kind: string, request: unknown) => Promise<unknown>;

/** An answer with whether anything was written since it was reckoned. */
export type Latest<Answer> = Readonly<{ answer: Answer; fresh: boolean }>;

export type Reckonings = Readonly<{
  /** The answer on the journal as it is now; waits for it. */
  now<Answer>(kind: string, question: string, request: () => unknown): Promise<Answer>;
  /** The last answer known, at once, or null; a stale or missing one is reckoned again meanwhile. */
  latest<Answer>(kind: string, question: string, request: () => unknown): Latest<Answer> | null;
}>;

type KeptReckoning = { revision: number; answer: Promise<unknown>; last: Latest<unknown> | null };

/** So many questions are kept answered; the one not asked for longest goes first. */
const mostKept = 200;

/** Answers that take long, kept for as long as the journal they rest on has not changed. */
export function reckoningsOn(journal: Pick<Journal, "revision">, reckon: Reckon): Reckonings {
  const kept = new Map<string, KeptReckoning>();

  function current(kind: string, question: string, request: () => unknown): KeptReckoning {
    const key = `${kind} ${question}`;
    const found = kept.get(key);
    const revision = journal.revision();
    kept.delete(key);
    const one = found?.revision === revision ? found : begun(kind, revision, request, found?.last ?? null);
    kept.set(key, one);
    if (kept.size > mostKept) kept.delete(kept.keys().next().value as string);
    return one;
  }

  function begun(kind: string, revision: number, request: () => unknown, last: Latest<unknown> | null) {
    const one: KeptReckoning = {
      revision,
      answer: reckon(kind, request()),
      last: last && { ...last, fresh: false },
    };
    one.answer.then(
      (answer) => {
        one.last = { answer, fresh: true };
      },
      () => {
        one.revision = -1; // a reckoning that failed is tried again when next asked
      },
    );
    return one;
  }

  return {
    now: <Answer>(kind: string, question: string, request: () => unknown) =>
      current(kind, question, request).answer as Promise<Answer>,
    latest: <Answer>(kind: string, question: string, request: () => unknown) =>
      current(kind, question, request).last as Latest<Answer> | null,
  };
}
