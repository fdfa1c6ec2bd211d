import type { FastifyInstance } from "fastify";
import { replacedBy, undoableMerges, undoMerge } from "../actions/undoMerge.ts";
import type { Context } from "../requests/context.ts";
import { idOf, idParams, noQuery, queryOf } from "../requests/reading.ts";
import { answerPost } from "./answering.ts";

const tags = ["journal"];

/** What was taken in within the day, or took the place of a trace or of own words, and the undoing of it. */
export function registerMerges(app: FastifyInstance, context: Context): void {
  app.get("/api/merges", { schema: { tags } }, () => {
    const at = { journal: context.journal, now: context.now() };
    const items = undoableMerges(at).map((merge) => ({ ...merge, replaced: replacedBy(merge, at) }));
    return { items, next: null };
  });
  app.delete("/api/merges/:id", { schema: { tags, params: idParams } }, (request, reply) => {
    const id = idOf(request, "merge");
    return answerPost(context, request, reply, 200, (at) => undoMerge(id, at));
  });
}
