import type { FastifyInstance, FastifyReply } from "fastify";
import { correctMany, type ManyCorrected, undoMany } from "../../actions/correctMany.ts";
import type { Chip } from "../../bench/things/chip.ts";
import { invalid, missing } from "../../bench/things/refusal.ts";
import { pageHtml } from "../../html/document.tsx";
import { idOf } from "../../requests/reading.ts";
import type { Journal } from "../../store/file/journal.ts";
import { valueAsked } from "../kit/addressed.ts";
import type { PageContext } from "../kit/context.ts";
import { type FormState, formAfter, freshForm, type Typed, typedIn } from "../kit/forms.ts";
import { doneOnce } from "../kit/once.tsx";
import { sendPage } from "../kit/sendPage.ts";
import { paths } from "../paths.ts";
import { frameOf } from "../siteMap.ts";
import { type Corrigible, corrigiblesOf } from "./corrigible.ts";
import { correctedAt, correctionsShown, picked } from "./shown.ts";
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
    answer(reply, idOf(request, "build"), {
      name: valueAsked(request, "field"),
      form: freshForm(),
      changed: valueAsked(request, "changed"),
      evening: valueAsked(request, "evening"),
    }),
  );

  app.post("/builds/:id/corrections", async (request, reply) => {
    const buildId = idOf(request, "build");
    const typed = typedIn(request.body);
    const name = typed.field ?? null;
    if (typed.act === "choose") return answer(reply, buildId, { name, form: freshForm(typed) });
    const chosen = corrigibleNamed(journal, buildId, name);
    try {
      const correction = correctionTyped(chosen, typed);
      const { value } = correction;
      if (typed.act !== "apply") return answer(reply, buildId, { name, form: freshForm(typed), value });
      const address = await doneOnce(context, paths.corrections(buildId), typed, (at) => {
        const changed = correctMany(correction, at);
        return paths.corrections(buildId, { field: name, changed: changed.length > 0 ? at.now : null });
      });
      return reply.redirect(address, 303);
    } catch (error) {
      const form = formAfter(error, typed, chipIn(journal, buildId));
      return answer(reply, buildId, { name, form: besideItsInput(form, chosen) });
    }
  });

  app.post("/builds/:id/corrections/undoing", async (request, reply) => {
    const buildId = idOf(request, "build");
    const typed = typedIn(request.body);
    const name = typed.field ?? null;
    try {
      const { field } = assertChosen(corrigibleNamed(journal, buildId, name));
      const address = await doneOnce(context, paths.correctionsUndone(buildId), typed, (at) => {
        undoMany(correctedAt(journal, buildId, typed.changed ?? "", field), field, at);
        return paths.corrections(buildId, { field: name });
      });
      return reply.redirect(address, 303);
    } catch (error) {
      return answer(reply, buildId, { name, form: formAfter(error, typed) });
    }
  });
}

const chipIn = (journal: Journal, buildId: string): Chip | null => {
  const build = journal.builds.find(buildId);
  return build === undefined ? null : (journal.chips.find(build.chipId) ?? null);
};

function corrigibleNamed(journal: Journal, buildId: string, wanted: string | null): Corrigible | null {
  const chip = chipIn(journal, buildId);
  if (chip === null) throw missing("build");
  return corrigiblesOf(chip, journal.workloads.all()).find(({ name }) => name === wanted) ?? null;
}

function assertChosen(chosen: Corrigible | null): Corrigible {
  const words = "Choose what to correct.";
  if (chosen === null) throw invalid(words, { field: words });
  return chosen;
}

function correctionTyped(of: Corrigible | null, typed: Typed): ManyCorrected {
  const { field, ...chosen } = assertChosen(of);
  const ids = picked(typed);
  if (ids.length === 0) throw invalid("Choose at least one attempt.");
  return { ids, field, value: chosen.read(typed), aboveCeiling: isAboveMeant(chosen.name, typed) };
}

/** The confirmation is of what was typed: with something else typed since, it is asked again. */
const isAboveMeant = (name: string, { aboveCeiling, ...typed }: Typed): boolean =>
  aboveCeiling !== undefined && aboveCeiling === typed[name];

/** What is said of each attempt is of the one input that they share; words about a knob stand beside its own. */
const besideItsInput = (form: FormState, chosen: Corrigible | null): FormState => {
  const words = chosen && form.refused?.fields[chosen.field];
  if (!form.refused || !chosen || !words) return form;
  return { ...form, refused: { ...form.refused, fields: { [chosen.name]: words } } };
};
