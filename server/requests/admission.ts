import type { FastifyReply, FastifyRequest } from "fastify";
import type { Sessions } from "./sessions.ts";

/** How other devices are let in, for the pages that ask and tell. */
export type Admission = Readonly<{
  sessions: Sessions;
  /** The id of the session that a request comes with; null for none. */
  sessionOf(request: FastifyRequest): string | null;
  /** Begins a session; throws a Refusal for wrong words, and for too many of them. */
  signIn(request: FastifyRequest, reply: FastifyReply, words: string): Promise<void>;
}>;
