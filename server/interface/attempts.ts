import type { FastifyInstance } from "fastify";
import { z } from "zod";
import {
  keepHeartbeat,
  putBackAttempt,
  recordAttempt,
  removeAttempt,
  restoreAttempt,
  setAsideAttempt,
} from "../actions/attempts.ts";
import { endWithTrace } from "../actions/traceFigures.ts";
import { interruptedAttempts } from "../answers/interrupted.ts";
import { attemptDraft, attemptEdit, setAsideDraft } from "../bench/things/attempt.ts";
import { heartbeatDraft } from "../bench/things/heartbeat.ts";
import { type Outcome, outcomes } from "../bench/things/outcome.ts";
import { missing } from "../bench/things/refusal.ts";
import type { Context } from "../requests/context.ts";
import {
  attemptListQuery,
  bodyOf,
  idOf,
  idParams,
  noQuery,
  pageWanted,
  queryOf,
} from "../requests/reading.ts";
import { answerEdit, answerPost } from "./answering.ts";
import { thingAddress } from "./thingAddress.ts";

const tags = ["attempts"];
const listQuery = attemptListQuery.extend({ outcome: z.enum(outcomes).optional() });

export function registerAttempts(app: FastifyInstance, context: Context): void {
  const { builds, attempts } = context.journal;

  app.get(
    "/api/builds/:id/attempts",
    { schema: { tags, params: idParams, querystring: listQuery } },
    (request) => {
      const buildId = idOf(request, "build");
      const { limit, after, ...narrowed } = queryOf(listQuery, request);
      if (!builds.find(buildId)) throw missing("build");
      return attempts.pageOf(buildId, {
        ...narrowed,
        outcome: narrowed.outcome as Outcome | undefined,
        ...pageWanted({ limit, after }),
      });
    },
  );

  app.post(
    "/api/builds/:id/attempts",
    { schema: { tags, params: idParams, body: attemptDraft } },
    (request, reply) => {
      const buildId = idOf(request, "build");
      const draft = bodyOf(attemptDraft, request);
      return answerPost(context, request, reply, 201, (at) => recordAttempt(buildId, draft, at));
    },
  );

  app.get("/api/interrupted", { schema: { tags } }, (request) => {
    queryOf(noQuery, request);
    return { items: interruptedAttempts(context.journal) };
  });

  registerOneAttempt(app, context);
  registerAroundAttempt(app, context);
}

function registerOneAttempt(app: FastifyInstance, context: Context): void {
  const { attempts } = context.journal;

  thingAddress(app, context, {
    path: "attempts",
    what: "attempt",
    edits: attemptEdit,
    find: attempts.find,
    edit: endWithTrace,
    remove: removeAttempt,
    restore: restoreAttempt,
  });
}

function registerAroundAttempt(app: FastifyInstance, context: Context): void {
  const { attempts } = context.journal;

  app.put(
    "/api/attempts/:id/set-aside",
    { schema: { tags, params: idParams, body: setAsideDraft } },
    (request, reply) => {
      const id = idOf(request, "attempt");
      const { reason } = bodyOf(setAsideDraft, request);
      return answerEdit(context, reply, (at) => setAsideAttempt(id, reason, at));
    },
  );

  app.delete("/api/attempts/:id/set-aside", { schema: { tags, params: idParams } }, (request, reply) => {
    const id = idOf(request, "attempt");
    return answerEdit(context, reply, (at) => putBackAttempt(id, at));
  });

  app.post(
    "/api/attempts/:id/heartbeats",
    { schema: { tags, params: idParams, body: heartbeatDraft } },
    (request, reply) => {
      const id = idOf(request, "attempt");
      const draft = bodyOf(heartbeatDraft, request);
      return answerPost(context, request, reply, 204, (at) => {
        keepHeartbeat(id, draft, at);
      });
    },
  );

  app.get("/api/attempts/:id/history", { schema: { tags, params: idParams } }, (request) => {
    queryOf(noQuery, request);
    const id = idOf(request, "attempt");
    if (!attempts.find(id) && !attempts.findDeleted(id)) throw missing("attempt");
    return { items: attempts.editsOf(id) };
  });
}
