import type { FastifyInstance } from "fastify";
import type { z } from "zod";
import {
  boardActions,
  chipActions,
  type PartActions,
  ruleActions,
  workloadActions,
} from "../actions/parts.ts";
import { boardDraft } from "../bench/things/board.ts";
import { chipDraft } from "../bench/things/chip.ts";
import { ruleDraft } from "../bench/things/rule.ts";
import type { Kept, Page } from "../bench/things/thing.ts";
import { workloadDraft } from "../bench/things/workload.ts";
import type { Context } from "../requests/context.ts";
import { bodyOf, listQuery, pageWanted, queryOf } from "../requests/reading.ts";
import type { PageQuestion } from "../store/rows/thingPages.ts";
import { answerPost } from "./answering.ts";
import { thingAddress } from "./thingAddress.ts";

type PartAddress<Thing extends Kept, Draft extends z.ZodObject> = Readonly<{
  path: "chips" | "boards" | "workloads" | "rules";
  what: string;
  draft: Draft;
  actions: PartActions<Thing, z.infer<Draft>>;
  find(id: string): Thing | undefined;
  page(wanted: PageQuestion): Page<Thing>;
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
    what: "load",
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
  const tags = [path];

  app.get(`/api/${path}`, { schema: { tags, querystring: listQuery } }, (request) =>
    part.page(pageWanted(queryOf(listQuery, request))),
  );

  app.post(`/api/${path}`, { schema: { tags, body: draft } }, (request, reply) => {
    const wanted = bodyOf(draft, request);
    return answerPost(context, request, reply, 201, (at) => actions.add(wanted, at));
  });

  thingAddress(app, context, {
    path,
    what,
    edits: draft.partial(),
    find: part.find,
    edit: (id, wanted, version, at) => actions.edit(id, wanted as Partial<z.infer<Draft>>, version, at),
    remove: actions.remove,
    restore: actions.restore,
  });
}
