import type { FastifyInstance } from "fastify";
import type { z } from "zod";
import {
  boardActions,
  chipActions,
  type PartActions,
  ruleActions,
  workloadActions,
} from "../actions/parts.ts";
import { boardDraft } from "../bench/board.ts";
import { chipDraft } from "../bench/chip.ts";
import { missing } from "../bench/refusal.ts";
import { ruleDraft } from "../bench/rule.ts";
import type { Kept, Page } from "../bench/thing.ts";
import { workloadDraft } from "../bench/workload.ts";
import type { PageWanted } from "../store/thingStore.ts";
import { answerDone, answerEdit, answerPost, etagOf } from "./answering.ts";
import type { Context } from "./context.ts";
import {
  bodyOf,
  expectedVersion,
  idOf,
  idParams,
  listQuery,
  noQuery,
  pageWanted,
  queryOf,
} from "./reading.ts";

type PartAddress<Thing extends Kept, Draft extends z.ZodObject> = Readonly<{
  path: string;
  what: string;
  draft: Draft;
  actions: PartActions<Thing, z.infer<Draft>>;
  find(id: string): Thing | undefined;
  page(wanted: PageWanted): Page<Thing>;
}>;

export function registerParts(app: FastifyInstance, context: Context): void {
  const { chips, boards, workloads, rules } = context.journal;
  partAddress(app, context, {
    path: "chips",
    what: "chip",
    draft: chipDraft,
    actions: chipActions,
    ...chips,
  });
  partAddress(app, context, {
    path: "boards",
    what: "board",
    draft: boardDraft,
    actions: boardActions,
    ...boards,
  });
  partAddress(app, context, {
    path: "workloads",
    what: "workload",
    draft: workloadDraft,
    actions: workloadActions,
    ...workloads,
  });
  partAddress(app, context, {
    path: "rules",
    what: "acceptance rule",
    draft: ruleDraft,
    actions: ruleActions,
    ...rules,
  });
}

function partAddress<Thing extends Kept, Draft extends z.ZodObject>(
  app: FastifyInstance,
  context: Context,
  part: PartAddress<Thing, Draft>,
): void {
  const { path, what, draft, actions } = part;
  const edit = draft.partial();
  const tags = [path];

  app.get(`/api/${path}`, { schema: { tags, querystring: listQuery } }, (request) =>
    part.page(pageWanted(queryOf(listQuery, request))),
  );

  app.post(`/api/${path}`, { schema: { tags, body: draft } }, (request, reply) => {
    const wanted = bodyOf(draft, request);
    return answerPost(context, request, reply, 201, (at) => actions.add(wanted, at));
  });

  app.get(`/api/${path}/:id`, { schema: { tags, params: idParams } }, (request, reply) => {
    queryOf(noQuery, request);
    const thing = part.find(idOf(request, what));
    if (!thing) throw missing(what);
    return reply.header("etag", etagOf(thing)).send(thing);
  });

  app.patch(`/api/${path}/:id`, { schema: { tags, params: idParams, body: edit } }, (request, reply) => {
    const id = idOf(request, what);
    const wanted = bodyOf(edit, request) as Partial<z.infer<Draft>>;
    return answerEdit(context, reply, (at) => actions.edit(id, wanted, expectedVersion(request), at));
  });

  app.delete(`/api/${path}/:id`, { schema: { tags, params: idParams } }, (request, reply) => {
    const id = idOf(request, what);
    return answerDone(context, reply, (at) => actions.remove(id, expectedVersion(request), at));
  });

  app.put(`/api/${path}/:id/restoration`, { schema: { tags, params: idParams } }, (request, reply) => {
    const id = idOf(request, what);
    return answerEdit(context, reply, (at) => actions.restore(id, at));
  });
}
