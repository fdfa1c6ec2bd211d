import type { FastifyInstance, FastifyReply } from "fastify";
import { recordAttempt } from "../../actions/attempts.ts";
import { answerOf } from "../../answers/answerOf.ts";
import { missing } from "../../bench/things/refusal.ts";
import { isId } from "../../bench/things/units.ts";
import { fragmentHtml } from "../../html/document.tsx";
import { idOf } from "../../requests/reading.ts";
import { draftTyped } from "../attemptForm/attemptTyped.ts";
import type { PageContext } from "../kit/context.ts";
import { formAfter, type Typed, typedIn } from "../kit/forms.ts";
import { doneOnce } from "../kit/once.tsx";
import { pursuitIn, pursuitTyped } from "../kit/pursuit.tsx";
import { paths } from "../paths.ts";
import { adviceAskedIn, adviceSoon } from "./advised.ts";
import { benchAnswer, sendHtml } from "./answering.ts";
import { begin, beginningTyped } from "./beginning.ts";
import { beginningPage } from "./beginningView.tsx";
import { registerEndings } from "./endings.ts";
import { forecastPiece } from "./forecast.tsx";
import { livePiece } from "./live.tsx";
import { liveShown } from "./liveShown.ts";
import { latePieces } from "./proposed.tsx";
import { heatShown } from "./shown.ts";

export function registerBench(app: FastifyInstance, context: PageContext): void {
  const { journal, now } = context;

  app.get("/", (request, reply) => benchAnswer(context, reply, { query: typedIn(request.query) }));

  app.get(paths.heatForecast(), (request, reply) => {
    const typed = typedIn(request.query);
    if (!typed.build || !isId(typed.build) || !journal.builds.find(typed.build)) throw missing("build");
    return sendHtml(reply, 200, fragmentHtml(forecastPiece(heatShown(journal, typed.build, typed))));
  });

  app.get(paths.advice(), async (request, reply) => {
    const query = typedIn(request.query);
    if (!query.build || !isId(query.build) || !journal.builds.find(query.build)) throw missing("build");
    const asked = adviceAskedIn(query, query.build, now());
    const advice = await adviceSoon(context, asked);
    if (advice === null) return reply.code(204).send();
    const answer = answerOf(journal, context.reckonings, query.build);
    return sendHtml(reply, 200, fragmentHtml(latePieces(advice, asked, answer)));
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
      return sendHtml(reply, 422, beginningPage(context, formAfter(error, typed)));
    }
  });

  app.post("/builds/:id/attempts", async (request, reply) => {
    const buildId = idOf(request, "build");
    const typed = typedIn(request.body);
    try {
      return await recordTyped(context, reply, buildId, typed);
    } catch (error) {
      const form = formAfter(error, typed);
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
    return sendHtml(reply, 200, fragmentHtml(livePiece(liveShown(journal, attempt, now()))));
  });

  registerEndings(app, context);
}

/** Records what was typed; the same form sent twice is recorded once. */
async function recordTyped(
  context: PageContext,
  reply: FastifyReply,
  buildId: string,
  typed: Typed,
): Promise<FastifyReply> {
  const draft = draftTyped(typed);
  const address = await doneOnce(context, paths.attempts(buildId), typed, (at) => {
    const { id, outcome } = recordAttempt(buildId, draft, at);
    const kept = outcome === "running" ? keptBefore(typed) : id;
    return paths.bench({ build: buildId, kept, ...pursuitIn(typed) });
  });
  return reply.redirect(address, 303);
}

/** The attempt that was kept before this one was armed: what was read of it may still be typed. */
const keptBefore = ({ keptBefore: id }: Typed): string | null => (id && isId(id) ? id : null);
