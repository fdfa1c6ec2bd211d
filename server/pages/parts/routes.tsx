import type { FastifyInstance, FastifyReply, FastifyRequest } from "fastify";
import { missing, Refusal } from "../../bench/things/refusal.ts";
import { standardRuleId } from "../../bench/things/rule.ts";
import { pageHtml } from "../../html/document.tsx";
import { idOf } from "../../requests/reading.ts";
import { idAsked, valueAsked } from "../kit/addressed.ts";
import type { PageContext } from "../kit/context.ts";
import { type FormState, formAfter, freshForm, type Refused, type Typed, typedIn } from "../kit/forms.ts";
import type { Gone } from "../kit/goneNotice.tsx";
import { doneOnce, formOnce } from "../kit/once.tsx";
import { sendPage } from "../kit/sendPage.ts";
import { formAfterEdit } from "../kit/staleEdit.ts";
import { historyOf } from "../kit/thingHistory.tsx";
import { paths, withQuery } from "../paths.ts";
import { frameOf } from "../siteMap.ts";
import { inForm, type Part, type PartKind, partKinds } from "./partKinds.ts";
import { partsShown, usesOf } from "./partUses.ts";
import { PartPage } from "./partView.tsx";
import { PartsPage } from "./view.tsx";

export function registerPartsPages(app: FastifyInstance, context: PageContext): void {
  app.get(paths.parts(), (request, reply) => partsAnswer(context, reply, goneAsked(context, request), null));
  for (const kind of partKinds) {
    registerAdding(app, context, kind);
    registerEditing(app, context, kind);
    registerDeleting(app, context, kind);
  }
}

const buildLink = ({ id }: { id: string }): string => paths.build(id);

function partsAnswer(
  context: PageContext,
  reply: FastifyReply,
  gone: Gone | null,
  refused: Refused | null,
): FastifyReply {
  const shown = partsShown(context, buildLink);
  const page = <PartsPage frame={frameOf(context, "parts")} shown={shown} gone={gone} refused={refused} />;
  return sendPage(reply, pageHtml(page), refused === null ? 200 : 409);
}

/** The part that was just deleted, where it can still come back. */
function goneAsked({ journal }: PageContext, request: FastifyRequest): Gone | null {
  const thing = valueAsked(request, "gone");
  const id = idAsked(request, "id", "part");
  const kind = partKinds.find(({ path }) => path === thing);
  if (id === null || (kind === undefined && thing !== "builds")) return null;
  const deleted = (kind?.store(journal) ?? journal.builds).findDeleted(id);
  return deleted === undefined || thing === null ? null : { thing, id, name: deleted.name };
}

function formAnswer(
  context: PageContext,
  reply: FastifyReply,
  kind: PartKind,
  part: Part | null,
  form: FormState,
): FastifyReply {
  const { journal } = context;
  const shown = {
    kind,
    part,
    form,
    uses: part === null ? [] : usesOf(journal, kind.path, part.id, buildLink),
    stays: part?.id === standardRuleId ? "This rule always exists; it can be edited." : null,
    workloads: kind.path === "rules" ? journal.workloads.all() : [],
    history: part === null ? null : historyOf(kind.path, part.id, journal),
  };
  const status = form.refused === null ? 200 : 422;
  return sendPage(reply, pageHtml(<PartPage frame={frameOf(context, "parts")} shown={shown} />), status);
}

function registerAdding(app: FastifyInstance, context: PageContext, kind: PartKind): void {
  app.get(paths.newPart(kind.path), (_, reply) => formAnswer(context, reply, kind, null, formOnce(context)));

  app.post(paths.newPart(kind.path), async (request, reply) => {
    const typed = typedIn(request.body);
    if (typed.act === "another") return formAnswer(context, reply, kind, null, freshForm(typed));
    try {
      const draft = kind.draft(typed);
      const address = await doneOnce(context, paths.newPart(kind.path), typed, (at) => {
        kind.actions.add(draft, at);
        return `${paths.parts()}#${kind.path}`;
      });
      return reply.redirect(address, 303);
    } catch (error) {
      return formAnswer(context, reply, kind, null, formAfter(inForm(error, typed), typed));
    }
  });
}

function registerEditing(app: FastifyInstance, context: PageContext, kind: PartKind): void {
  const { journal } = context;
  const partIn = (request: FastifyRequest): Part => {
    const part = kind.store(journal).find(idOf(request, kind.one));
    if (!part) throw missing(kind.one);
    return part;
  };

  app.get(`/parts/${kind.path}/:id`, (request, reply) => {
    const part = partIn(request);
    return formAnswer(context, reply, kind, part, formOnce(context, writtenWith(kind, part)));
  });

  app.post(`/parts/${kind.path}/:id`, async (request, reply) => {
    const part = partIn(request);
    const typed = typedIn(request.body);
    if (typed.act === "another") return formAnswer(context, reply, kind, part, freshForm(typed));
    try {
      const draft = kind.draft(typed);
      const version = Number(typed.version) || null;
      const address = await doneOnce(context, paths.part(kind.path, part.id), typed, (at) => {
        kind.actions.edit(part.id, draft, version, at);
        return `${paths.parts()}#${kind.path}`;
      });
      return reply.redirect(address, 303);
    } catch (error) {
      const standing = () => writtenWith(kind, partIn(request));
      const form = formAfterEdit(inForm(error, typed), typed, standing);
      return formAnswer(context, reply, kind, part, form);
    }
  });
}

const writtenWith = (kind: PartKind, part: Part): Typed => ({
  ...kind.written(part),
  version: String(part.version),
});

function registerDeleting(app: FastifyInstance, context: PageContext, kind: PartKind): void {
  const { journal, now } = context;

  app.post(`/${kind.path}/:id/deletion`, async (request, reply) => {
    const id = idOf(request, kind.one);
    try {
      if (!kind.store(journal).findDeleted(id))
        await journal.write(() => kind.actions.remove(id, null, { journal, now: now() }));
      return reply.redirect(withQuery(paths.parts(), { gone: kind.path, id }), 303);
    } catch (error) {
      if (!(error instanceof Refusal) || error.code !== "conflict") throw error;
      return partsAnswer(context, reply, null, { message: error.message, fields: {} });
    }
  });

  app.post(`/${kind.path}/:id/restoration`, async (request, reply) => {
    const id = idOf(request, kind.one);
    await journal.write(() => kind.actions.restore(id, { journal, now: now() }));
    return reply.redirect(`${paths.parts()}#${kind.path}`, 303);
  });
}
