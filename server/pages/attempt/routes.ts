import type { FastifyInstance, FastifyReply } from "fastify";
import {
  editAttempt,
  putBackAttempt,
  removeAttempt,
  restoreAttempt,
  setAsideAttempt,
} from "../../actions/attempts.ts";
import { bringGaveWayBack, gaveWayOfAttempt } from "../../actions/bringBack.ts";
import { workOfAttempt } from "../../answers/workOfAttempt.ts";
import type { Attempt } from "../../bench/things/attempt.ts";
import { setAsideDraft } from "../../bench/things/attempt.ts";
import type { Chip } from "../../bench/things/chip.ts";
import { missing } from "../../bench/things/refusal.ts";
import { idOf, read } from "../../requests/reading.ts";
import type { Journal } from "../../store/file/journal.ts";
import { editTyped, typedFrom } from "../attemptForm/attemptTyped.ts";
import type { PageContext } from "../kit/context.ts";
import { type FormState, formAfter, freshForm, type Typed, typedIn } from "../kit/forms.ts";
import { doneOnce, formOnce } from "../kit/once.tsx";
import { pursuitIn } from "../kit/pursuit.tsx";
import { sendPage } from "../kit/sendPage.ts";
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
    if (attempt) return sendPage(reply, attemptPage(context, shownOf(context, attempt)));
    const gone = journal.attempts.findDeleted(id);
    if (!gone) throw missing("attempt");
    return sendPage(reply, deletedPage(context, gone), 404);
  });

  app.post("/attempts/:id", async (request, reply) => {
    const id = idOf(request, "attempt");
    const typed = typedIn(request.body);
    const chip = chipOf(journal, journal.attempts.find(id)?.buildId ?? "");
    try {
      const edit = editTyped(typed, chip);
      const address = await doneOnce(context, paths.attempt(id), typed, (within) => {
        const { buildId } = editAttempt(id, edit, versionTyped(typed), within);
        return typed.back === "bench"
          ? paths.bench({ build: buildId, kept: id, ...pursuitIn(typed) })
          : paths.attempt(id);
      });
      return reply.redirect(address, 303);
    } catch (error) {
      const form = formAfterEdit(error, typed, () => writtenOf(context, id), chip);
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

  app.post("/attempts/:id/gave-way/:stamp/restoration", async (request, reply) => {
    const id = idOf(request, "attempt");
    const { stamp } = request.params as { stamp: string };
    await journal.write(() => bringGaveWayBack(id, stamp, at()));
    return reply.redirect(`${paths.attempt(id)}#history`, 303);
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
  return sendPage(reply, attemptPage(context, { ...shown, [which]: { ...form, typed } }), 422);
}

const chipOf = (journal: Journal, buildId: string): Chip | undefined =>
  journal.chips.find(journal.builds.find(buildId)?.chipId ?? "");

function shownOf(context: PageContext, attempt: Attempt): AttemptShown {
  const { journal } = context;
  return {
    attempt,
    build: journal.builds.find(attempt.buildId) ?? null,
    chip: chipOf(journal, attempt.buildId),
    mount: journal.mounts.find(attempt.mountId) ?? null,
    workloads: journal.workloads.all(),
    pictures: journal.pictures.of("attempts", attempt.id),
    edits: journal.attempts.editsOf(attempt.id),
    gaveWay: gaveWayOfAttempt(attempt.id, journal),
    hasTrace: journal.attempts.triedOf(attempt.buildId).some(({ id, traced }) => id === attempt.id && traced),
    output: journal.attempts.outputOf(attempt.id) ?? null,
    work: workOfAttempt(journal, attempt),
    form: formOnce(context, typedFrom(attempt)),
    setAsideForm: freshForm(),
  };
}
