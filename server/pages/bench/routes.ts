import type { FastifyInstance, FastifyReply } from "fastify";
import { recordAttempt } from "../../actions/attempts.ts";
import type { Chip } from "../../bench/things/chip.ts";
import { missing } from "../../bench/things/refusal.ts";
import { isId } from "../../bench/things/units.ts";
import { fragmentHtml } from "../../html/document.tsx";
import { idOf } from "../../requests/reading.ts";
import { draftTyped } from "../attemptForm/attemptTyped.ts";
import type { PageContext } from "../kit/context.ts";
import { type FormState, formAfter, type Typed, typedIn } from "../kit/forms.ts";
import { knobFieldInForm } from "../kit/knobTyped.ts";
import { doneOnce } from "../kit/once.tsx";
import { pursuitIn, pursuitTyped } from "../kit/pursuit.tsx";
import { sendPage } from "../kit/sendPage.ts";
import { paths } from "../paths.ts";
import { adviceAskedIn, allSoon } from "./advised.ts";
import { benchAnswer } from "./answering.ts";
import { attendedPiece } from "./attended.tsx";
import { attendedShown } from "./attendedShown.ts";
import { begin, beginningTyped } from "./beginning.ts";
import { beginningPage } from "./beginningView.tsx";
import { proposedIn } from "./dialled.tsx";
import { dialledLevelIn } from "./dialledLevel.tsx";
import { registerEndings } from "./endings.ts";
import { forecastPiece } from "./forecast.tsx";
import { inOrderTold } from "./inOrderTold.ts";
import { livePiece } from "./live.tsx";
import { liveShown } from "./liveShown.ts";
import { latePieces } from "./proposed.tsx";
import { benchShown, heatAtSetting } from "./shown.ts";

export function registerBench(app: FastifyInstance, context: PageContext): void {
  const { journal, now } = context;

  app.get("/", (request, reply) => benchAnswer(context, reply, { query: typedIn(request.query) }));

  app.get(paths.heatForecast(), (request, reply) => {
    const typed = typedIn(request.query);
    if (!typed.build || !isId(typed.build) || !journal.builds.find(typed.build)) throw missing("build");
    const heat = heatAtSetting(journal, typed.build, typed);
    const proposed = proposedIn(typed);
    const load = (typed.workloadId && journal.workloads.find(typed.workloadId)) || null;
    const dialled = proposed && { proposed, set: heat, load };
    const chip = chipOf(context, typed.build);
    const level = dialledLevelIn(typed, chip);
    return sendPage(reply, fragmentHtml(forecastPiece({ heat, dialled, level, chip })));
  });

  app.get(paths.advice(), async (request, reply) => {
    const query = typedIn(request.query);
    if (!query.build || !isId(query.build) || !journal.builds.find(query.build)) throw missing("build");
    const asked = adviceAskedIn(query, query.build, now());
    const advice = await allSoon(context, asked);
    if (advice === null) return reply.code(204).send();
    const shown = benchShown(context, { query }, advice);
    if (shown === null) throw missing("build");
    return sendPage(reply, fragmentHtml(latePieces(advice, asked, shown, query.late === "answer")));
  });

  app.get(paths.attendant(), (request, reply) => {
    const query = typedIn(request.query);
    if (!query.build || !isId(query.build) || !journal.builds.find(query.build)) throw missing("build");
    return sendPage(
      reply,
      fragmentHtml(attendedPiece(attendedShown(context, query.build, query), query.seen)),
    );
  });

  app.post(paths.inventedMachine(), (request, reply) => {
    const typed = typedIn(request.body);
    if (!context.inventMachine || !typed.build || !journal.builds.find(typed.build)) throw missing("build");
    context.inventMachine(typed.build);
    return reply.redirect(paths.bench({ build: typed.build, ...pursuitIn(typed) }), 303);
  });

  app.post(paths.beginning(), async (request, reply) => {
    const typed = typedIn(request.body);
    try {
      const beginning = beginningTyped(typed);
      const address = await doneOnce(context, paths.beginning(), typed, (at) =>
        paths.bench({ build: begin(beginning, at).id }),
      );
      return reply.redirect(address, 303);
    } catch (error) {
      return sendPage(reply, beginningPage(context, formAfter(error, typed)), 422);
    }
  });

  app.post("/builds/:id/attempts", async (request, reply) => {
    const buildId = idOf(request, "build");
    const typed = typedIn(request.body);
    try {
      return await recordTyped(context, reply, buildId, typed);
    } catch (error) {
      const chip = chipOf(context, buildId);
      const form = inDials(formAfter(error, typed, chip), chip);
      return benchAnswer(
        context,
        reply,
        { query: { build: buildId, ...pursuitTyped(typed) }, refused: { of: "trying", form } },
        422,
      );
    }
  });

  app.get("/attempts/:id/live", (request, reply) => {
    const attempt = journal.attempts.find(idOf(request, "attempt"));
    if (!attempt) throw missing("attempt");
    return sendPage(reply, fragmentHtml(livePiece(liveShown(context, attempt, now()))));
  });

  registerEndings(app, context);
}

function chipOf({ journal }: PageContext, buildId: string): Chip {
  const build = journal.builds.find(buildId);
  const chip = build && journal.chips.find(build.chipId);
  if (!chip) throw missing("build");
  return chip;
}

/** Words about a knob stand beside the dial that turns it. */
function inDials(form: FormState, chip: Chip): FormState {
  if (form.refused === null) return form;
  const fields = Object.entries(form.refused.fields).map(([field, words]) => [
    knobFieldInForm(field, chip),
    words,
  ]);
  return { ...form, refused: { ...form.refused, fields: Object.fromEntries(fields) } };
}

/** Records what was typed; the same form sent twice is recorded once. */
async function recordTyped(
  context: PageContext,
  reply: FastifyReply,
  buildId: string,
  typed: Typed,
): Promise<FastifyReply> {
  const chip = chipOf(context, buildId);
  const draft = draftTyped(typed, chip);
  const address = await doneOnce(context, paths.attempts(buildId), typed, (at) => {
    const { id, outcome } = recordAttempt(buildId, inOrderTold(draft, buildId, at), at);
    const kept = outcome === "running" ? keptBefore(typed) : id;
    return paths.bench({ build: buildId, kept, ...pursuitIn(typed), ...anotherLoad(typed) });
  });
  return reply.redirect(address, 303);
}

/** A load looked at is looked at until another one runs. */
const anotherLoad = ({ load, workloadId }: Typed) =>
  load && workloadId && load !== workloadId ? { load: null } : {};

/** The attempt that was kept before this one was armed: what was read of it may still be typed. */
const keptBefore = ({ keptBefore: id }: Typed): string | null => (id && isId(id) ? id : null);
