import type { FastifyInstance, FastifyReply } from "fastify";
import {
  editAttempt,
  putBackAttempt,
  removeAttempt,
  restoreAttempt,
  setAsideAttempt,
} from "../../actions/attempts.ts";
import type { Attempt } from "../../bench/things/attempt.ts";
import { setAsideDraft } from "../../bench/things/attempt.ts";
import { missing } from "../../bench/things/refusal.ts";
import { idOf, read } from "../../requests/reading.ts";
import { editTyped, typedFrom } from "../attemptForm/attemptTyped.ts";
import type { PageContext } from "../kit/context.ts";
import { type FormState, formAfter, freshForm, type Typed, typedIn } from "../kit/forms.ts";
import { doneOnce } from "../kit/once.tsx";
import { pursuitIn } from "../kit/pursuit.tsx";
import { formAfterEdit } from "../kit/staleEdit.ts";
import { paths } from "../paths.ts";
import type { AttemptShown } from "./shown.ts";
import { attemptPage, deletedPage } from "./view.tsx";

/** Everything about one attempt: what is known, corrections, setting aside, deleting and bringing back. */
export function registerAttempt(app: FastifyInstance, context: PageContext): void {
  const { journal, now } = context;
  const at = () => ({ journal, now: now() });

  app.get("/attempts/:id", (request, reply) => {
    const id = idOf(request, "attempt");
    const attempt = journal.attempts.find(id);
    if (attempt) return sendHtml(reply, 200, attemptPage(context, shownOf(context, attempt)));
    const gone = journal.attempts.findDeleted(id);
    if (!gone) throw missing("attempt");
    return sendHtml(reply, 404, deletedPage(context, gone));
  });

  app.post("/attempts/:id", async (request, reply) => {
    const id = idOf(request, "attempt");
    const typed = typedIn(request.body);
    try {
      const edited = await journal.write(() => editAttempt(id, editTyped(typed), versionTyped(typed), at()));
      const next =
        typed.back === "bench"
          ? paths.bench({ build: edited.buildId, kept: id, ...pursuitIn(typed) })
          : paths.attempt(id);
      return reply.redirect(next, 303);
    } catch (error) {
      const form = formAfterEdit(error, typed, () => writtenOf(context, id));
      return refused(context, reply, id, "form", form);
    }
  });

  app.post("/attempts/:id/set-aside", async (request, reply) => {
    const id = idOf(request, "attempt");
    const typed = typedIn(request.body);
    try {
      const { reason } = read(setAsideDraft, { reason: typed.reason ?? "" }, "The reason");
      await journal.write(() => setAsideAttempt(id, reason, at()));
      return reply.redirect(paths.attempt(id), 303);
    } catch (error) {
      return refused(context, reply, id, "setAsideForm", formAfter(error, typed));
    }
  });

  app.post("/attempts/:id/put-back", async (request, reply) => {
    const id = idOf(request, "attempt");
    await journal.write(() => putBackAttempt(id, at()));
    return reply.redirect(paths.attempt(id), 303);
  });

  app.post("/attempts/:id/deletion", async (request, reply) => {
    const id = idOf(request, "attempt");
    const attempt = journal.attempts.find(id) ?? journal.attempts.findDeleted(id);
    if (!attempt) throw missing("attempt");
    const typed = typedIn(request.body);
    const address = await doneOnce(context, paths.deletion("attempts", id), typed, (at) => {
      if (journal.attempts.find(id)) removeAttempt(id, null, at);
      return paths.bench({ build: attempt.buildId, deleted: id, ...pursuitIn(typed) });
    });
    return reply.redirect(address, 303);
  });

  app.post("/attempts/:id/restoration", async (request, reply) => {
    const id = idOf(request, "attempt");
    const typed = typedIn(request.body);
    const address = await doneOnce(context, paths.restoration("attempts", id), typed, (at) => {
      const { buildId } = restoreAttempt(id, at);
      return paths.bench({ build: buildId, back: id, ...pursuitIn(typed) });
    });
    return reply.redirect(address, 303);
  });
}

function writtenOf({ journal }: PageContext, id: string): Typed {
  const attempt = journal.attempts.find(id);
  if (!attempt) throw missing("attempt");
  return { ...typedFrom(attempt), version: String(attempt.version) };
}

function versionTyped({ version }: Typed): number | null {
  const wanted = Number(version ?? Number.NaN);
  return Number.isInteger(wanted) ? wanted : null;
}

const sendHtml = (reply: FastifyReply, status: number, html: string): FastifyReply =>
  reply.code(status).type("text/html; charset=utf-8").header("cache-control", "no-store").send(html);

function refused(
  context: PageContext,
  reply: FastifyReply,
  id: string,
  which: "form" | "setAsideForm",
  form: FormState,
): FastifyReply {
  const attempt = context.journal.attempts.find(id);
  if (!attempt) throw missing("attempt");
  const shown = shownOf(context, attempt);
  const typed = { ...shown[which].typed, ...form.typed };
  return sendHtml(reply, 422, attemptPage(context, { ...shown, [which]: { ...form, typed } }));
}

function shownOf({ journal }: PageContext, attempt: Attempt): AttemptShown {
  return {
    attempt,
    build: journal.builds.find(attempt.buildId) ?? null,
    mount: journal.mounts.find(attempt.mountId) ?? null,
    workloads: journal.workloads.all(),
    pictures: journal.pictures.of("attempts", attempt.id),
    edits: journal.attempts.editsOf(attempt.id),
    hasTrace: journal.attempts
      .evidenceOf(attempt.buildId)
      .some(({ id, traced }) => id === attempt.id && traced),
    form: freshForm(typedFrom(attempt)),
    setAsideForm: freshForm(),
  };
}
