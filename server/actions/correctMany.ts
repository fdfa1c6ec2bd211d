import type { Attempt, AttemptEdit } from "../bench/things/attempt.ts";
import { type CorrectableField, correctedValue } from "../bench/things/correction.ts";
import { invalid, Refusal } from "../bench/things/refusal.ts";
import { editAttempt } from "./attempts.ts";
import type { At } from "./context.ts";
import { found } from "./keeping.ts";

export const mostCorrected = 500;

export type ManyCorrected = Readonly<{
  ids: readonly string[];
  field: CorrectableField;
  value: unknown;
  /** Says that a setting above a ceiling is meant. */
  aboveCeiling?: boolean;
}>;

/** One field of many attempts, all of them or none; what each was before is kept in its history. */
export function correctMany(correction: ManyCorrected, at: At): readonly Attempt[] {
  const { ids, field } = correction;
  assertMany(ids);
  const refused = new Map<string, Refusal>();
  const edited = ids.flatMap((id) => {
    const current = found(at.journal.attempts.find(id), "attempt");
    const edit = correctionOf(current, correction);
    if (edit === null) return [];
    try {
      return [editAttempt(id, edit, null, at)];
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      refused.set(id, error);
      return [];
    }
  });
  if (refused.size > 0) throw nowhere(field, refused);
  return edited;
}

/** Null where it changes nothing. */
function correctionOf(current: Attempt, { field, value, aboveCeiling }: ManyCorrected): AttemptEdit | null {
  const corrected = correctedValue(field, current[field], value);
  if (sameValue(current[field], corrected)) return null;
  return { [field]: corrected, ...(aboveCeiling && { aboveCeiling }) } as AttemptEdit;
}

/** In the words of the first. A ceiling alone may be passed on purpose: then it is a conflict, as it is of one attempt. */
function nowhere(field: CorrectableField, refused: ReadonlyMap<string, Refusal>): Refusal {
  const wordsOf = (error: Refusal): string => error.fields[field] ?? error.message;
  const all = [...refused.values()];
  const first = all[0] as Refusal;
  const fields = Object.fromEntries([...refused].map(([id, error]) => [id, wordsOf(error)]));
  return new Refusal(
    all.every(({ code }) => code === "conflict") ? "conflict" : "invalid",
    `Nothing was changed: ${wordsOf(first)}`,
    { [field]: wordsOf(first), ...fields },
    first.extra,
  );
}

/** Each attempt back to what the named field was before its latest edit of it. */
export function undoMany(ids: readonly string[], field: CorrectableField, at: At): readonly Attempt[] {
  assertMany(ids);
  return ids.map((id) => {
    const current = found(at.journal.attempts.find(id), "attempt");
    const changes = at.journal.attempts.editsOf(id).findLast((edit) => field in edit.changes)?.changes;
    if (changes === undefined) throw invalid("One of these attempts was not corrected there.");
    const aboveCeiling = changes.aboveCeiling?.[0] ?? current.aboveCeiling;
    return editAttempt(id, { [field]: changes[field]?.[0] ?? null, aboveCeiling } as AttemptEdit, null, at);
  });
}

function assertMany(ids: readonly string[]): void {
  if (ids.length === 0)
    throw invalid("Choose at least one attempt.", { ids: "Choose at least one attempt." });
  if (ids.length > mostCorrected) throw invalid(`At most ${mostCorrected} attempts are changed at once.`);
}

export const sameValue = (one: unknown, other: unknown): boolean =>
  JSON.stringify(one ?? null) === JSON.stringify(other ?? null);
