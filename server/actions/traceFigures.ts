import { figuresFromTrace, type TraceFigures } from "../answers/heatOfAttempt.ts";
import type { Attempt, AttemptEdit } from "../bench/things/attempt.ts";
import { editAttempt } from "./attempts.ts";
import type { At } from "./context.ts";
import { found } from "./keeping.ts";

const tenths = (value: number): number => Math.round(value * 10) / 10;

/** Edits an attempt; one that ends with it, and was recorded as it ran, takes the figures its trace shows. */
export function endWithTrace(id: string, edit: AttemptEdit, version: number | null, at: At): Attempt {
  const wasRunning = at.journal.attempts.find(id)?.outcome === "running";
  const edited = editAttempt(id, edit, version, at);
  return wasRunning && at.journal.traces.outline(id) !== undefined ? fillFromTrace(id, at) : edited;
}

/** Fills in the figures of an ended attempt that its trace shows and nobody typed; those known already are not read again. */
export function fillFromTrace(attemptId: string, at: At, known?: TraceFigures | null): Attempt {
  const attempt = found(at.journal.attempts.find(attemptId), "attempt");
  if (attempt.outcome === "running") return attempt;
  const figures = known === undefined ? figuresFromTrace(at.journal, attempt) : known;
  if (figures === null) return attempt;
  const edit: AttemptEdit = {};
  for (const [name, value] of Object.entries(figures) as [keyof typeof figures, number | null][])
    if (value !== null && attempt[name] === null) edit[name] = tenths(value);
  if (edit.powerW !== undefined) edit.powerAt = attempt.powerAt ?? "chip";
  const { loadTempC, peakTempC } = { ...attempt, ...edit };
  if (loadTempC != null && peakTempC != null && peakTempC < loadTempC) delete edit.peakTempC;
  return Object.keys(edit).length === 0 ? attempt : editAttempt(attemptId, edit, null, at);
}
