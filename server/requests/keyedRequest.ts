import type { FastifyRequest } from "fastify";
import type { KeyedRequest } from "../actions/answerOnce.ts";
import { invalid } from "../bench/things/refusal.ts";

/** Null where the request carries no key. */
export function keyedRequest(request: FastifyRequest, status: number): KeyedRequest | null {
  const key = request.headers["idempotency-key"];
  if (key === undefined) return null;
  if (typeof key !== "string" || key.length === 0 || key.length > 200)
    throw invalid("An Idempotency-Key has 1 to 200 characters.");
  return { key, address: `${request.method} ${request.url}`, status };
}
