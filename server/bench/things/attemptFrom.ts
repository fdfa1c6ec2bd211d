import type { Attempt, AttemptDraft } from "./attempt.ts";
import {
  attemptFieldNames,
  blankFields,
  copyFields,
  fieldDescription,
  type KeptFields,
} from "./attemptFields.ts";
import { isCrash, neverStarted } from "./outcome.ts";
import { type FieldRefusals, invalid } from "./refusal.ts";

/** A draft whole and without contradiction, with the usual values; thrown back with words where it is not. */
export function attemptFrom(draft: AttemptDraft, now: string): KeptFields {
  const refused = contradictionsIn(draft);
  const [first] = Object.values(refused);
  if (first !== undefined) throw invalid(first, refused);
  const kept = blankFields();
  for (const name of attemptFieldNames)
    kept[name] = isEmpty(draft[name]) ? fieldDescription[name].blank : draft[name];
  Object.assign(kept, errorsKept(draft));
  kept.startedAt ??= startOf(draft, now);
  return kept as KeptFields;
}

const isEmpty = (said: unknown): boolean =>
  said == null || (typeof said === "object" && !Array.isArray(said) && Object.keys(said).length === 0);

/** Errors that were read by place are kept so, with their sum. */
function errorsKept({ correctedErrors, correctedErrorsAt }: AttemptDraft) {
  const isByPlace = typeof correctedErrors === "object" && correctedErrors !== null;
  const byPlace = isByPlace ? correctedErrors : correctedErrorsAt;
  if (byPlace == null || isEmpty(byPlace))
    return {
      correctedErrors: typeof correctedErrors === "number" ? correctedErrors : null,
      correctedErrorsAt: null,
    };
  return { correctedErrors: sumOf(byPlace), correctedErrorsAt: byPlace };
}

const sumOf = (counts: Readonly<Record<string, number>>): number =>
  Object.values(counts).reduce((sum, one) => sum + one, 0);

/** So far may two clocks lie apart that were both set. */
const clocksApartMs = 600_000;

/** Only what is newly said is held to this: a clock that has jumped back must not keep a run from being ended. */
export function assertBegun(startedAt: string, now: string): void {
  if (Date.parse(startedAt) <= Date.parse(now) + clocksApartMs) return;
  const words = "An attempt cannot begin later than now. Is the day or the time zone another one?";
  throw invalid(words, { startedAt: words });
}

/** An attempt that has ended began its duration ago; one that is armed begins now. */
const startOf = (draft: AttemptDraft, now: string): string =>
  new Date(Date.parse(now) - (draft.durationS ?? 0) * 1000).toISOString();

function contradictionsIn(draft: AttemptDraft): FieldRefusals {
  const refused: Record<string, string> = {};
  const running = draft.outcome === "running";
  if (running && draft.durationS != null)
    refused.durationS = "A running attempt has no duration yet; leave it out.";
  if (!running && draft.durationS == null) refused.durationS = "Say how long it ran, in seconds.";
  if (draft.outcome === "pass" && draft.plannedS != null && (draft.durationS ?? 0) < draft.plannedS)
    refused.durationS = `A pass runs as long as it was planned (${draft.plannedS} s). Shorter, without a fault, it is "stopped".`;
  Object.assign(refused, windowContradictions(draft), errorContradictions(draft));
  if (draft.clockMhz == null && draft.offset == null && isEmpty(draft.offsets))
    refused.clockMhz = "Say which clock was set, or which offset.";
  if (draft.loadTempC != null && draft.peakTempC != null && draft.peakTempC < draft.loadTempC)
    refused.peakTempC = "The peak cannot lie below the load temperature.";
  return refused;
}

function errorContradictions({ correctedErrors, correctedErrorsAt }: AttemptDraft): FieldRefusals {
  if (typeof correctedErrors !== "number" || correctedErrorsAt == null || isEmpty(correctedErrorsAt))
    return {};
  const sum = sumOf(correctedErrorsAt);
  if (sum === correctedErrors) return {};
  return { correctedErrors: `By place there were ${sum} corrected errors, not ${correctedErrors}.` };
}

/** A crash found later may say between which two times it happened. */
function windowContradictions({ outcome, failedFromS, failedToS, durationS }: AttemptDraft): FieldRefusals {
  if (failedFromS == null && failedToS == null) return {};
  if (!isCrash(outcome) || neverStarted(outcome))
    return { failedFromS: "Only a crash under load has a time at which it failed." };
  if (failedFromS == null)
    return { failedFromS: "Give both ends of the time in which it failed, or neither." };
  if (failedToS == null) return { failedToS: "Give both ends of the time in which it failed, or neither." };
  if (failedFromS > failedToS)
    return { failedToS: "The latest time of the failure lies before the earliest." };
  if (durationS != null && failedToS > durationS)
    return { failedToS: "It cannot have failed later than it ran." };
  return {};
}

/** The draft that would record an attempt as it stands, so that an edit can be laid over it and checked whole. */
export function draftOf(attempt: Attempt): AttemptDraft {
  const draft = blankFields();
  copyFields(attempt, draft);
  const { alsoSet, tags, errors } = attempt;
  return Object.assign(draft, {
    alsoSet: [...alsoSet],
    tags: [...tags],
    errors: [...errors],
  }) as unknown as AttemptDraft;
}
