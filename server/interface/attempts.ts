import type { FastifyInstance } from "fastify";
import * as z from "zod";
import {
  keepHeartbeat,
  putBackAttempt,
  recordAttempt,
  removeAttempt,
  restoreAttempt,
  setAsideAttempt,
} from "../actions/attempts.ts";
import { correctMany, mostCorrected } from "../actions/correctMany.ts";
import { endWithOutput } from "../actions/traceFigures.ts";
import { undoEditsAt } from "../actions/undoEdit.ts";
import { interruptedAttempts } from "../answers/interrupted.ts";
import { workOfAttempt } from "../answers/workOfAttempt.ts";
import { output } from "../bench/things/asSet.ts";
import { attemptDraft, attemptEdit, setAsideDraft } from "../bench/things/attempt.ts";
import { correctableFields, correctionSent } from "../bench/things/correction.ts";
import { heartbeatDraft } from "../bench/things/heartbeat.ts";
import { type Outcome, outcomes } from "../bench/things/outcome.ts";
import { missing } from "../bench/things/refusal.ts";
import { instant, id as thingId } from "../bench/things/units.ts";
import type { Context } from "../requests/context.ts";
import {
  attemptListQuery,
  bodyOf,
  idOf,
  idParams,
  noQuery,
  pageWanted,
  queryOf,
  read,
} from "../requests/reading.ts";
import { answerEdit, answerPost } from "./answering.ts";
import { thingAddress } from "./thingAddress.ts";

const tags = ["attempts"];
const listQuery = attemptListQuery.extend({ outcome: z.enum(outcomes).optional() });

const correction = z.strictObject({
  ids: z.array(thingId).min(1, "Choose at least one attempt.").max(mostCorrected),
  field: z.enum(correctableFields, { error: `A field is one of: ${correctableFields.join(", ")}.` }),
  value: z
    .unknown()
    .describe("Of knobs and offsets by part an object of those that were wrong; null takes one out."),
  aboveCeiling: z.boolean().optional(),
});

/** The moment of the edits, as the history of each of the attempts has it. */
const correctionUndone = z.strictObject({ at: instant });

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

  app.get("/api/interrupted", { schema: { tags } }, () => ({
    items: interruptedAttempts(context.journal),
  }));

  app.post("/api/attempts/corrections", { schema: { tags, body: correction } }, (request, reply) => {
    const { ids, field, value, aboveCeiling = false } = bodyOf(correction, request);
    const sent = read(correctionSent, { [field]: value }, "The correction");
    return answerPost(context, request, reply, 200, (at) => ({
      items: correctMany({ ids, field, value: sent[field] ?? null, aboveCeiling }, at),
    }));
  });

  app.post(
    "/api/attempts/corrections/undoing",
    { schema: { tags, body: correctionUndone } },
    (request, reply) => {
      const { at: moment } = bodyOf(correctionUndone, request);
      return answerPost(context, request, reply, 200, (at) => undoEditsAt(moment, at));
    },
  );

  registerOneAttempt(app, context);
  registerAroundAttempt(app, context);
}

function registerOneAttempt(app: FastifyInstance, context: Context): void {
  const { attempts } = context.journal;

  thingAddress(app, context, {
    path: "attempts",
    what: "attempt",
    edits: attemptEdit.extend({ output: output.nullish() }),
    find: attempts.find,
    edit: endWithOutput,
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

  app.get("/api/attempts/:id/work", { schema: { tags, params: idParams } }, (request) => {
    const attempt = attempts.find(idOf(request, "attempt"));
    if (!attempt) throw missing("attempt");
    return workOfAttempt(context.journal, attempt);
  });

  app.get("/api/attempts/:id/output", { schema: { tags, params: idParams } }, (request) => {
    const id = idOf(request, "attempt");
    if (!attempts.find(id)) throw missing("attempt");
    return { output: attempts.outputOf(id) ?? null };
  });
}
