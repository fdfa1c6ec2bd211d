import type { FastifyInstance } from "fastify";
import { editAttempt, takeUpAgain } from "../../actions/attempts.ts";
import { endWithTrace } from "../../actions/traceFigures.ts";
import type { Attempt, AttemptEdit } from "../../bench/things/attempt.ts";
import { isCrash, neverStarted, type Outcome, outcomeWords } from "../../bench/things/outcome.ts";
import { conflict, missing } from "../../bench/things/refusal.ts";
import { formatDuration } from "../../html/format.ts";
import { idOf } from "../../requests/reading.ts";
import { assertDurationSaid, editTyped } from "../attemptForm/attemptTyped.ts";
import type { PageContext } from "../kit/context.ts";
import { formAfter, type Typed, typedIn } from "../kit/forms.ts";
import { doneOnce } from "../kit/once.tsx";
import { pursuitIn, pursuitTyped } from "../kit/pursuit.tsx";
import { durationTyped } from "../kit/quantityTyped.ts";
import { paths } from "../paths.ts";
import { benchAnswer } from "./answering.ts";

/** How an armed attempt ended, and that it runs on after all. */
export function registerEndings(app: FastifyInstance, context: PageContext): void {
  const { journal } = context;
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
      const address = await doneOnce(context, paths.ending(id), typed, (at) => {
        const standing = found(id);
        if (standing.outcome === "running")
          endWithTrace(id, endingTyped(attempt, typed, at.now, journal.interrupted.has(id)), null, at);
        else assertNoOther(standing, typed);
        return paths.bench({ build: buildId, kept: id, ...pursuitIn(typed) });
      });
      return reply.redirect(address, 303);
    } catch (error) {
      const form = formAfter(error, typed);
      const query = { build: buildId, ...pursuitTyped(typed) };
      return benchAnswer(context, reply, { query, refused: { of: id, form } }, 422);
    }
  });

  app.post("/attempts/:id/correction", async (request, reply) => {
    const { id, buildId } = found(idOf(request, "attempt"));
    const typed = typedIn(request.body);
    try {
      const address = await doneOnce(context, paths.correction(id), typed, (at) => {
        editAttempt(id, correctionTyped(found(id), typed), null, at);
        return paths.bench({ build: buildId, kept: id, ...pursuitIn(typed) });
      });
      return reply.redirect(address, 303);
    } catch (error) {
      const form = formAfter(error, typed);
      return benchAnswer(
        context,
        reply,
        { query: { build: buildId, ...pursuitTyped(typed) }, refused: { of: id, form } },
        422,
      );
    }
  });

  app.post("/attempts/:id/resumption", async (request, reply) => {
    const { id, buildId } = found(idOf(request, "attempt"));
    const typed = typedIn(request.body);
    const address = await doneOnce(context, paths.resumption(id), typed, (at) => {
      if (found(id).outcome === "running") takeUpAgain(id, at);
      else editAttempt(id, { outcome: "running", failedFromS: null, failedToS: null }, null, at);
      return paths.bench({ build: buildId, ...pursuitIn(typed) });
    });
    return reply.redirect(address, 303);
  });
}

/** Another ending of a run that is over: how long it ran stays as it was told. */
function correctionTyped({ outcome, durationS }: Attempt, typed: Typed): AttemptEdit {
  if (outcome === "running") throw conflict("This attempt is still running.");
  const said = editTyped({ outcome: outcomeTyped(typed) });
  const isFault = isCrash(outcomeTyped(typed));
  return {
    ...said,
    durationS: neverStarted(outcomeTyped(typed)) ? 0 : durationS,
    ...(isFault ? {} : { failedFromS: null, failedToS: null }),
  };
}

const outcomeTyped = ({ ranOn, outcome }: Typed): Outcome =>
  (ranOn === undefined ? outcome : "pass") as Outcome;

/** A second tap that says the same changes nothing; one that says something else is told so. */
function assertNoOther({ outcome, durationS }: Attempt, typed: Typed): void {
  const said = outcomeTyped(typed);
  if (said === outcome) return;
  const ended = `${outcomeWords[outcome]}${durationS ? ` after ${formatDuration(durationS)}` : ""}`;
  throw conflict(
    `This attempt has ended already (${ended}), so “${outcomeWords[said] ?? said}” was not kept. Correct it on its own page if that is wrong.`,
  );
}

/**
 * Timed by the server where the tap is the end, or by the page that kept the tap while the server was away; an
 * interrupted one otherwise only by what the tester says.
 */
function endingTyped(attempt: Attempt, typed: Typed, now: string, wasInterrupted: boolean): AttemptEdit {
  const outcome = outcomeTyped(typed);
  const { durationS, failedFromS, failedToS } = typed;
  const ranS = durationTyped(durationS);
  const tappedS = secondsTyped(typed.tappedS);
  const isSaid = ranS !== null || (wasInterrupted && tappedS === null);
  if (neverStarted(outcome)) return { ...editTyped({ outcome, failedFromS, failedToS }), durationS: 0 };
  if (isSaid) {
    assertDurationSaid(ranS);
    return editTyped({ outcome, durationS, failedFromS, failedToS });
  }
  const edit = editTyped({ outcome, failedFromS, failedToS });
  const sinceArmedS = Math.max(0, Math.floor((Date.parse(now) - Date.parse(attempt.startedAt)) / 1000));
  const elapsedS = Math.min(sinceArmedS, tappedS ?? sinceArmedS);
  const isOnTime = outcome === "pass" && typed.ranOn === undefined && attempt.plannedS !== null;
  return { ...edit, durationS: isOnTime ? Math.min(elapsedS, attempt.plannedS ?? elapsedS) : elapsedS };
}

/** Null where none are said. */
function secondsTyped(typed: string | undefined): number | null {
  const seconds = Math.floor(Number(typed ?? Number.NaN));
  return seconds >= 0 ? seconds : null;
}
