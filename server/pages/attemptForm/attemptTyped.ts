import {
  type Attempt,
  type AttemptDraft,
  type AttemptEdit,
  attemptDraft,
  attemptEdit,
} from "../../bench/things/attempt.ts";
import { invalid } from "../../bench/things/refusal.ts";
import { read } from "../../requests/reading.ts";
import { kinds } from "../kit/attemptKinds.ts";
import type { Typed } from "../kit/forms.ts";
import { voltageTyped } from "../kit/quantityTyped.ts";
import { formFields } from "./formFields.ts";

/** Every field that was on the form; one that was not stays as it is. */
function fieldsTyped(typed: Typed): Record<string, unknown> {
  const there = formFields.filter(({ name }) => typed[name] !== undefined);
  const fields = Object.fromEntries(there.map(({ name, kind }) => [name, kinds[kind].read(typed[name])]));
  if (typed.note !== undefined) fields.note ??= "";
  return {
    ...fields,
    ...(typed.outcome === undefined ? {} : { outcome: typed.outcome }),
    ...ceilingTyped(typed),
  };
}

/** The confirmation is of one voltage: with another typed since, it is asked again. */
function ceilingTyped({ aboveCeiling, voltageMv }: Typed): { aboveCeiling?: true } {
  const confirmedMv = voltageTyped(aboveCeiling);
  return confirmedMv !== null && confirmedMv === voltageTyped(voltageMv) ? { aboveCeiling: true } : {};
}

const onlyOnceEnded = { durationS: null, failedFromS: null, failedToS: null, startedAt: null };

/** An attempt to record. One being armed begins now and has not failed yet; a pass ran as long as planned. */
export function draftTyped(typed: Typed): AttemptDraft {
  const fields = fieldsTyped(typed);
  if (fields.outcome === "running") Object.assign(fields, onlyOnceEnded);
  else if (fields.durationS == null) fields.durationS = usualDurationS(fields);
  if (fields.outcome !== "running") assertDurationSaid(fields.durationS);
  return read(attemptDraft, fields, "The attempt");
}

/** Asked in the words of a form, where minutes are as good as seconds. */
export function assertDurationSaid(durationS: unknown): void {
  const words = "Say how long it ran: minutes, or 90 s, 3:24, 1 h 5 min.";
  if (durationS == null || Number.isNaN(durationS)) throw invalid(words, { durationS: words });
}

function usualDurationS({ outcome, plannedS }: Record<string, unknown>): unknown {
  if (outcome === "pass") return plannedS ?? null;
  return outcome === "no-start" || outcome === "fell-back" ? 0 : null;
}

export const editTyped = (typed: Typed): AttemptEdit => read(attemptEdit, fieldsTyped(typed), "The attempt");

/** An attempt as it would stand in a form. */
export const typedFrom = (attempt: Partial<Attempt>): Typed => ({
  ...Object.fromEntries(formFields.map(({ name, kind }) => [name, kinds[kind].write(attempt[name] ?? null)])),
  ...(attempt.outcome === undefined ? {} : { outcome: attempt.outcome }),
});
