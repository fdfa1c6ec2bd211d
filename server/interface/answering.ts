import { createHash } from "node:crypto";
import type { FastifyReply, FastifyRequest } from "fastify";
import type { At } from "../actions/context.ts";
import { conflict, invalid } from "../bench/things/refusal.ts";
import type { Kept } from "../bench/things/thing.ts";
import type { Context } from "../requests/context.ts";

type Answer = Readonly<{ status: number; answer: string }>;

/**
 * Does `work` in a commit and answers with what it gives. A post that carries a key is remembered in the same commit,
 * so a repeat is answered and not done again, also after a restart.
 */
export async function answerPost(
  { journal, now }: Context,
  request: FastifyRequest,
  reply: FastifyReply,
  status: number,
  work: (at: At) => unknown,
): Promise<FastifyReply> {
  const key = keyOf(request);
  const done = await journal.write((): Answer => {
    const at = { journal, now: now() };
    if (key === null) return { status, answer: textOf(work(at)) };
    const bodyHash = hashOf(request.body);
    const earlier = journal.answeredPosts.find(key);
    if (earlier && (earlier.address !== addressOf(request) || earlier.bodyHash !== bodyHash))
      throw conflict("This Idempotency-Key was used for another request.");
    if (earlier) return earlier;
    const answer = textOf(work(at));
    journal.answeredPosts.keep({ key, address: addressOf(request), bodyHash, status, answer }, at.now);
    return { status, answer };
  });
  return send(reply, done);
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

const textOf = (value: unknown): string => (value === undefined ? "" : JSON.stringify(value));
const addressOf = (request: FastifyRequest): string => `${request.method} ${request.url}`;

const hashOf = (body: unknown): string =>
  createHash("sha256")
    .update(Buffer.isBuffer(body) ? body : JSON.stringify(body ?? null))
    .digest("base64url");

function keyOf(request: FastifyRequest): string | null {
  const key = request.headers["idempotency-key"];
  if (key === undefined) return null;
  if (typeof key !== "string" || key.length === 0 || key.length > 200)
    throw invalid("An Idempotency-Key has 1 to 200 characters.");
  return key;
}

function send(reply: FastifyReply, { status, answer }: Answer): FastifyReply {
  if (answer === "") return reply.code(status).send();
  return reply.code(status).type("application/json; charset=utf-8").send(answer);
}
