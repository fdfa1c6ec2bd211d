import { traceFoundIn } from "../answers/heatOfAttempt.ts";
import { type MeasuredSaid, takenFrom, typedAgain } from "../bench/heat/measuredBeside.ts";
import type { TraceFigures } from "../bench/heat/traceFigures.ts";
import type { Attempt, AttemptEdit } from "../bench/things/attempt.ts";
import { conflict, invalid } from "../bench/things/refusal.ts";
import { editAttempt } from "./attempts.ts";
import type { At } from "./context.ts";
import { found } from "./keeping.ts";

/** Edits an attempt; one that ends with it, and was recorded as it ran, takes the figures its trace shows. */
export function endWithTrace(id: string, edit: AttemptEdit, version: number | null, at: At): Attempt {
  const wasRunning = at.journal.attempts.find(id)?.outcome === "running";
  const edited = editAttempt(id, edit, version, at);
  return wasRunning && at.journal.traces.outline(id) !== undefined ? fillFromTrace(id, at) : edited;
}

/** The same with what the load printed, which is kept apart. */
export function endWithOutput(
  id: string,
  { output, ...edit }: AttemptEdit & Readonly<{ output?: string | null | undefined }>,
  version: number | null,
  at: At,
): Attempt {
  const edited = endWithTrace(id, edit, version, at);
  if (output == null) return edited;
  at.journal.attempts.keepOutput(id, output);
  at.journal.attempts.noteHanging(id, "output", at.now);
  return edited;
}

/** An ended attempt takes what its trace measured: where nothing was typed, and where the setting it ran at was another. */
export function fillFromTrace(attemptId: string, at: At, known?: TraceFigures | null): Attempt {
  const attempt = found(at.journal.attempts.find(attemptId), "attempt");
  if (attempt.outcome === "running") return attempt;
  const figures = known === undefined ? (traceFoundIn(at.journal, attempt)?.figures ?? null) : known;
  return figures === null ? attempt : edited(attempt, takenFrom(attempt, figures.measured), at);
}

/** What the tester says of a trace: one of its clocks counts, or all that it measured, or what was typed before. */
export function countAsSaid(id: string, said: MeasuredSaid, figures: TraceFigures | null, at: At): Attempt {
  const attempt = found(at.journal.attempts.find(id), "attempt");
  if (attempt.outcome === "running")
    throw conflict("This attempt is still running; its trace is not whole yet.");
  const whole = found(figures ?? undefined, "trace of this attempt");
  if (said.clock != null) return edited(attempt, { effectiveClockMhz: clockNamed(said.clock, whole) }, at);
  if (said.use === "log") return edited(attempt, takenFrom(attempt, whole.measured), at);
  return edited(attempt, typedAgain(attempt, whole, at.journal.attempts.editsOf(id)), at);
}

function clockNamed(channel: string, { clocks }: TraceFigures): number {
  const clock = clocks.find((one) => one.channel === channel);
  if (clock !== undefined) return clock.mhz;
  throw invalid(`The trace has no clock "${channel}".`, { clock: "Choose one of the clocks of the trace." });
}

const edited = (attempt: Attempt, edit: AttemptEdit, at: At): Attempt =>
  Object.keys(edit).length === 0 ? attempt : editAttempt(attempt.id, edit, null, at);
