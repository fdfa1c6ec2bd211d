import { conflict } from "../bench/things/refusal.ts";
import type { At } from "./context.ts";

/** A request that carries a key, by which a repeat of it is known. */
export type KeyedRequest = Readonly<{
  key: string;
  address: string;
  status: number;
}>;

/** What is answered, as it is sent and kept; empty where there is nothing to say. */
export type GivenAnswer = Readonly<{
  status: number;
  answer: string;
  /** True where it was given before, and nothing was done now. */
  isRepeat?: boolean;
}>;

/**
 * Does `work` and keeps its answer with it, in the same commit; a repeat gets the answer of the first and is not done
 * again, also after a restart. `bodyHash` tells what was asked from anything else.
 */
export function answerOnce(
  request: KeyedRequest,
  bodyHash: string,
  { journal, now }: At,
  work: () => unknown,
): GivenAnswer {
  const earlier = givenBefore(request, bodyHash, journal);
  if (earlier) return earlier;
  const answer = answerText(work());
  journal.answeredPosts.keep({ ...request, bodyHash, answer }, now);
  return { status: request.status, answer };
}

/** What the request was answered when it came first; null where this is the first. */
export function givenBefore(
  { key, address }: KeyedRequest,
  bodyHash: string,
  { answeredPosts }: At["journal"],
): GivenAnswer | null {
  const earlier = answeredPosts.find(key);
  if (!earlier) return null;
  if (earlier.address !== address || earlier.bodyHash !== bodyHash)
    throw conflict("This Idempotency-Key was used for another request.");
  return { status: earlier.status, answer: earlier.answer, isRepeat: true };
}

export const answerText = (value: unknown): string => (value === undefined ? "" : JSON.stringify(value));
