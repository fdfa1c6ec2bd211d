import type { FastifyInstance, FastifyReply } from "fastify";
import { correctMany, undoMany } from "../../actions/correctMany.ts";
import type { Chip } from "../../bench/things/chip.ts";
import { invalid } from "../../bench/things/refusal.ts";
import { pageHtml } from "../../html/document.tsx";
import type { Journal } from "../../store/file/journal.ts";
import { fieldNamed } from "../attemptForm/formFields.ts";
import { idIn, valueAsked } from "../kit/addressed.ts";
import type { PageContext } from "../kit/context.ts";
import { type FormState, formAfter, freshForm, type Typed, typedIn } from "../kit/forms.ts";
import { doneOnce } from "../kit/once.tsx";
import { sendPage } from "../kit/sendPage.ts";
import { paths } from "../paths.ts";
import { frameOf } from "../siteMap.ts";
import { correctable, correctedAt, correctionsShown, picked, valueTyped } from "./shown.ts";
import { CorrectionsPage } from "./view.tsx";

/** One field of many attempts, corrected at once: chosen, looked at, done, and undone. */
export function registerCorrections(app: FastifyInstance, context: PageContext): void {
  const { journal, now } = context;

  const answer = (
    reply: FastifyReply,
    buildId: string,
    asked: Parameters<typeof correctionsShown>[3],
  ): FastifyReply => {
    const shown = correctionsShown(journal, buildId, now(), asked);
    const page = <CorrectionsPage frame={frameOf(context, "builds")} shown={shown} />;
    return sendPage(reply, pageHtml(page), asked.form.refused === null ? 200 : 422);
  };

  app.get("/builds/:id/corrections", (request, reply) =>
    answer(reply, idIn(request, "build"), {
      field: correctable(valueAsked(request, "field")),
      form: freshForm(),
      changed: valueAsked(request, "changed"),
      evening: valueAsked(request, "evening"),
    }),
  );

  app.post("/builds/:id/corrections", async (request, reply) => {
    const buildId = idIn(request, "build");
    const typed = typedIn(request.body);
    const name = correctable(typed.field);
    if (typed.act === "choose") return answer(reply, buildId, { field: name, form: freshForm(typed) });
    try {
      const { field, value } = correctionTyped(typed);
      if (typed.act !== "apply")
        return answer(reply, buildId, { field: name, form: freshForm(typed), value });
      const address = await doneOnce(context, paths.corrections(buildId), typed, (at) => {
        const changed = correctMany({ ids: picked(typed), field, value }, at);
        return paths.corrections(buildId, { field, changed: changed.length > 0 ? at.now : null });
      });
      return reply.redirect(address, 303);
    } catch (error) {
      return answer(reply, buildId, { field: name, form: formAfter(error, typed, chipIn(journal, buildId)) });
    }
  });

  app.post("/builds/:id/corrections/undoing", async (request, reply) => {
    const buildId = idIn(request, "build");
    const typed = typedIn(request.body);
    const field = correctable(typed.field);
    const refused = (form: FormState) => answer(reply, buildId, { field, form });
    try {
      if (field === null) throw invalid("Say which field was corrected.");
      const address = await doneOnce(context, paths.correctionsUndone(buildId), typed, (at) => {
        undoMany(correctedAt(journal, buildId, typed.changed ?? "", field), field, at);
        return paths.corrections(buildId, { field });
      });
      return reply.redirect(address, 303);
    } catch (error) {
      return refused(formAfter(error, typed));
    }
  });
}

const chipIn = (journal: Journal, buildId: string): Chip | null => {
  const build = journal.builds.find(buildId);
  return build === undefined ? null : (journal.chips.find(build.chipId) ?? null);
};

function correctionTyped(typed: Typed) {
  const field = correctable(typed.field);
  const described = field && fieldNamed(field);
  if (field === null || !described)
    throw invalid("Choose what to correct.", { field: "Choose what to correct." });
  if (picked(typed).length === 0) throw invalid("Choose at least one attempt.");
  return { field, value: valueTyped(described, typed) };
}
