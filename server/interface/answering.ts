import type { FastifyReply, FastifyRequest } from "fastify";
import { answerOnce, answerText, type GivenAnswer, givenBefore } from "../actions/answerOnce.ts";
import type { At } from "../actions/context.ts";
import { inOneOrder } from "../bench/document/inOneOrder.ts";
import { digestOf } from "../bench/things/digest.ts";
import { invalid } from "../bench/things/refusal.ts";
import type { Kept } from "../bench/things/thing.ts";
import type { Context } from "../requests/context.ts";
import { keyedRequest } from "../requests/keyedRequest.ts";

/**
 * Does `work` in a commit and answers with what it gives. A request that carries a key is remembered in the same commit,
 * so a repeat is answered and not done again, also after a restart. `said` is what a repeat is told from: the body,
 * where nothing else is given.
 */
export async function answerPost(
  context: Context,
  request: FastifyRequest,
  reply: FastifyReply,
  status: number,
  work: (at: At) => unknown,
  said: unknown = request.body,
): Promise<FastifyReply> {
  return sendAnswer(reply, await givenTo(request, context, status, work, said));
}

/** Does `work` in a commit and answers with the thing it gives, its version in the ETag; with a key, once. */
export async function answerEdit(
  { journal, now }: Pick<Context, "journal" | "now">,
  reply: FastifyReply,
  work: (at: At) => Kept,
): Promise<FastifyReply> {
  const given = await givenTo(reply.request, { journal, now }, 200, work);
  const { version } = JSON.parse(given.answer) as Kept;
  return sendAnswer(reply.header("etag", `"${version}"`), given);
}

/** Does `work` in a commit and answers that it is done; with a key, once. */
export async function answerDone(
  { journal, now }: Context,
  reply: FastifyReply,
  work: (at: At) => void,
): Promise<FastifyReply> {
  return sendAnswer(reply, await givenTo(reply.request, { journal, now }, 204, work));
}

/**
 * Does what is no work of the journal's, and answers with what it gives; with a key, once. Only what was answered is
 * kept in the journal, so one that may not be written has it done each time.
 */
export async function answerOutside(
  { journal, now }: Context,
  reply: FastifyReply,
  status: number,
  work: () => Promise<unknown>,
): Promise<FastifyReply> {
  const keyed = journal.stopped() === null ? keyedRequest(reply.request, status) : null;
  if (keyed === null) return sendAnswer(reply, { status, answer: answerText(await work()) });
  const said = hashOf(reply.request.body);
  const earlier = givenBefore(keyed, said, journal);
  if (earlier) return sendAnswer(reply, earlier);
  const done = await work();
  const given = await journal.write(() => answerOnce(keyed, said, { journal, now: now() }, () => done));
  return sendAnswer(reply, given);
}

function givenTo(
  request: FastifyRequest,
  { journal, now }: Pick<Context, "journal" | "now">,
  status: number,
  work: (at: At) => unknown,
  said: unknown = request.body,
): Promise<GivenAnswer> {
  const keyed = keyedRequest(request, status);
  return journal.write((): GivenAnswer => {
    const at = { journal, now: now() };
    if (keyed === null) return { status, answer: answerText(work(at)) };
    return answerOnce(keyed, hashOf(said), at, () => work(at));
  });
}

export const etagOf = (thing: Kept): string => `"${thing.version}"`;

const hashOf = (said: unknown): string => digestOf(Buffer.isBuffer(said) ? said : written(said));

function written(said: unknown): string {
  try {
    return inOneOrder(said);
  } catch (error) {
    if (error instanceof RangeError) throw invalid("This is nested too deeply to be read.");
    throw error;
  }
}

export function sendAnswer(reply: FastifyReply, { status, answer }: GivenAnswer): FastifyReply {
  if (answer === "") return reply.code(status).send();
  return reply.code(status).type("application/json; charset=utf-8").send(answer);
}
