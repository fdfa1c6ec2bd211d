import { createHash } from "node:crypto";
import type { FastifyReply, FastifyRequest } from "fastify";
import { answerOnce, answerText, type GivenAnswer } from "../actions/answerOnce.ts";
import type { At } from "../actions/context.ts";
import type { Kept } from "../bench/things/thing.ts";
import type { Context } from "../requests/context.ts";
import { keyedRequest } from "../requests/keyedRequest.ts";

/**
 * Does `work` in a commit and answers with what it gives. A request that carries a key is remembered in the same commit,
 * so a repeat is answered and not done again, also after a restart. `said` is what a repeat is told from: the body,
 * where nothing else is given.
 */
export async function answerPost(
  { journal, now }: Context,
  request: FastifyRequest,
  reply: FastifyReply,
  status: number,
  work: (at: At) => unknown,
  said: unknown = request.body,
): Promise<FastifyReply> {
  const keyed = keyedRequest(request, status);
  const given = await journal.write((): GivenAnswer => {
    const at = { journal, now: now() };
    if (keyed === null) return { status, answer: answerText(work(at)) };
    return answerOnce(keyed, hashOf(said), at, () => work(at));
  });
  return sendAnswer(reply, given);
}

/** Does `work` in a commit and answers with the thing it gives, its version in the ETag. */
export async function answerEdit(
  { journal, now }: Context,
  reply: FastifyReply,
  work: (at: At) => Kept,
): Promise<FastifyReply> {
  const thing = await journal.write(() => work({ journal, now: now() }));
  return reply.header("etag", etagOf(thing)).send(thing);
}

/** Does `work` in a commit and answers that it is done. */
export async function answerDone(
  { journal, now }: Context,
  reply: FastifyReply,
  work: (at: At) => void,
): Promise<FastifyReply> {
  await journal.write(() => work({ journal, now: now() }));
  return reply.code(204).send();
}

export const etagOf = (thing: Kept): string => `"${thing.version}"`;

const hashOf = (said: unknown): string =>
  createHash("sha256")
    .update(Buffer.isBuffer(said) ? said : JSON.stringify(said ?? null, inOneOrder))
    .digest("base64url");

/** The same fields say the same, in whatever order they were sent. */
const inOneOrder = (_: string, value: unknown): unknown =>
  typeof value === "object" && value !== null && !Array.isArray(value)
    ? Object.fromEntries(Object.entries(value).sort(([a], [b]) => (a < b ? -1 : 1)))
    : value;

export function sendAnswer(reply: FastifyReply, { status, answer }: GivenAnswer): FastifyReply {
  if (answer === "") return reply.code(status).send();
  return reply.code(status).type("application/json; charset=utf-8").send(answer);
}
