import type { FastifyInstance } from "fastify";
import type { z } from "zod";
import { blank } from "../actions/blanking.ts";
import type { At } from "../actions/context.ts";
import { undoEdit } from "../actions/undoEdit.ts";
import { editedApart } from "../bench/document/account.ts";
import type { MergedList } from "../bench/document/registers.ts";
import { missing } from "../bench/things/refusal.ts";
import type { Kept } from "../bench/things/thing.ts";
import type { Context } from "../requests/context.ts";
import { bodyOf, expectedVersion, idOf, idParams, noQuery, queryOf } from "../requests/reading.ts";
import { answerDone, answerEdit, etagOf } from "./answering.ts";

/** One kind of thing as it is read, edited, removed and brought back at an address of its own. */
export type ThingAddress<Thing extends Kept, Edit extends z.ZodObject> = Readonly<{
  path: MergedList;
  /** What it is called where there is none. */
  what: string;
  edits: Edit;
  find(id: string): Thing | undefined;
  edit(id: string, wanted: z.infer<Edit>, version: number | null, at: At): Thing;
  remove(id: string, version: number | null, at: At): void;
  restore(id: string, at: At): Thing;
  /** What an answer adds to the thing as it is kept. */
  told?(thing: Thing): Kept;
}>;

/** Where the latest edit of a thing is taken back. */
export function undoingAddress(app: FastifyInstance, context: Context, list: MergedList, what: string): void {
  app.put(`/api/${list}/:id/undoing`, { schema: { tags: [list], params: idParams } }, (request, reply) => {
    const id = idOf(request, what);
    return answerEdit(context, reply, (at) => {
      if (!context.journal[list].find(id)) throw missing(what);
      return undoEdit(list, id, at);
    });
  });
}

/** What each edit of a thing changed, the latest last; deleted things have theirs until they are blanked. */
export function historyAddress(app: FastifyInstance, context: Context, list: MergedList, what: string): void {
  app.get(`/api/${list}/:id/history`, { schema: { tags: [list], params: idParams } }, (request) => {
    const id = idOf(request, what);
    const store = context.journal[list];
    if (!store.holds(id)) throw missing(what);
    const edits = store.editsOf(id);
    const apart = editedApart(list, edits);
    const items = edits.map(({ at, changes, stamp }) => {
      const edit = { at, changes };
      return apart.has(stamp) ? { ...edit, apart: true } : edit;
    });
    return { items };
  });
}

/** Where the words of a deleted thing are taken away for good. */
export function blankingAddress(
  app: FastifyInstance,
  context: Context,
  list: MergedList,
  what: string,
): void {
  const schema = { tags: [list], params: idParams };
  app.put(`/api/${list}/:id/blanking`, { schema }, (request, reply) => {
    const id = idOf(request, what);
    return answerDone(context, reply, (at) => {
      if (!context.journal[list].holds(id)) throw missing(what);
      blank(list, id, at);
    });
  });
}

/** The addresses of a single thing; lists and what adds to them differ from kind to kind. */
export function thingAddress<Thing extends Kept, Edit extends z.ZodObject>(
  app: FastifyInstance,
  context: Context,
  thing: ThingAddress<Thing, Edit>,
): void {
  const { path, what, edits } = thing;
  const told = thing.told ?? ((kept: Thing): Kept => kept);
  const address = `/api/${path}/:id`;
  const schema = { tags: [path], params: idParams };

  app.get(address, { schema }, (request, reply) => {
    const found = thing.find(idOf(request, what));
    if (!found) throw missing(what);
    return reply.header("etag", etagOf(found)).send(told(found));
  });

  app.patch(address, { schema: { ...schema, body: edits } }, (request, reply) => {
    const id = idOf(request, what);
    const wanted = bodyOf(edits, request);
    return answerEdit(context, reply, (at) => told(thing.edit(id, wanted, expectedVersion(request), at)));
  });

  app.delete(address, { schema }, (request, reply) => {
    const id = idOf(request, what);
    return answerDone(context, reply, (at) => thing.remove(id, expectedVersion(request), at));
  });

  app.put(`${address}/restoration`, { schema }, (request, reply) => {
    const id = idOf(request, what);
    return answerEdit(context, reply, (at) => told(thing.restore(id, at)));
  });

  historyAddress(app, context, path, what);
  undoingAddress(app, context, path, what);
  blankingAddress(app, context, path, what);
}
