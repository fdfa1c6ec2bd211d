import type { FastifyInstance } from "fastify";
import { editAttempt, takeUpAgain } from "../../actions/attempts.ts";
import { endWithTrace } from "../../actions/traceFigures.ts";
import type { Attempt, AttemptEdit } from "../../bench/things/attempt.ts";
import { neverStarted, type Outcome } from "../../bench/things/outcome.ts";
import { missing } from "../../bench/things/refusal.ts";
import { idOf } from "../../requests/reading.ts";
import { assertDurationSaid, editTyped } from "../attemptForm/attemptTyped.ts";
import type { PageContext } from "../kit/context.ts";
import { formAfter, type Typed, typedIn } from "../kit/forms.ts";
import { pursuitIn, pursuitTyped } from "../kit/pursuit.tsx";
import { durationTyped } from "../kit/quantityTyped.ts";
import { paths } from "../paths.ts";
import { benchAnswer } from "./answering.ts";

/** How an armed attempt ended, and that it runs on after all. */
export function registerEndings(app: FastifyInstance, context: PageContext): void {
  const { journal, now } = context;
  const found = (id: string): Attempt => {
    const attempt = journal.attempts.find(id);
    if (!attempt) throw missing("attempt");
    return attempt;
  };

  app.post("/attempts/:id/ending", async (request, reply) => {
    const attempt = found(idOf(request, "attempt"));
    const typed = typedIn(request.body);
    const { id, buildId } = attempt;
    try {
      await journal.write(() => {
        const at = { journal, now: now() };
        // A second tap on a page that has not heard of the first one changes nothing.
        if (found(id).outcome !== "running") return;
        endWithTrace(id, endingTyped(attempt, typed, at.now, journal.interrupted.has(id)), null, at);
      });
      return reply.redirect(paths.bench({ build: buildId, kept: id, ...pursuitIn(typed) }), 303);
    } catch (error) {
      const form = formAfter(error, typed);
      const query = { build: buildId, ...pursuitTyped(typed) };
      return benchAnswer(context, reply, { query, refused: { of: id, form } }, 422);
    }
  });

  app.post("/attempts/:id/resumption", async (request, reply) => {
    const { id, buildId, outcome } = found(idOf(request, "attempt"));
    await journal.write(() => {
      const at = { journal, now: now() };
      if (outcome === "running") takeUpAgain(id, at);
      else editAttempt(id, { outcome: "running", failedFromS: null, failedToS: null }, null, at);
    });
    return reply.redirect(paths.bench({ build: buildId, ...pursuitIn(typedIn(request.body)) }), 303);
  });
}

/** Timed by the server where the tap is the end; an interrupted one only by what the tester says. */
function endingTyped(attempt: Attempt, typed: Typed, now: string, wasInterrupted: boolean): AttemptEdit {
  const outcome = (typed.ranOn === undefined ? typed.outcome : "pass") as Outcome;
  const { durationS, failedFromS, failedToS } = typed;
  const ranS = durationTyped(durationS);
  const isSaid = ranS !== null || wasInterrupted;
  if (isSaid && !neverStarted(outcome)) assertDurationSaid(ranS);
  const edit = editTyped({ outcome, failedFromS, failedToS });
  if (neverStarted(outcome)) return { ...edit, durationS: 0 };
  if (isSaid) return { ...edit, durationS: ranS };
  const elapsedS = Math.max(0, Math.floor((Date.parse(now) - Date.parse(attempt.startedAt)) / 1000));
  const isOnTime = outcome === "pass" && typed.ranOn === undefined && attempt.plannedS !== null;
  return { ...edit, durationS: isOnTime ? Math.min(elapsedS, attempt.plannedS ?? elapsedS) : elapsedS };
}
