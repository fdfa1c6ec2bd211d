import type { Attempt, AttemptEdit } from "../bench/things/attempt.ts";
import { type AttemptFieldName, fieldDescription } from "../bench/things/attemptFields.ts";
import { invalid, Refusal } from "../bench/things/refusal.ts";
import { editAttempt } from "./attempts.ts";
import type { At } from "./context.ts";
import { found } from "./keeping.ts";

/** Fields in which a whole evening may be wrong. What a run came to is corrected one by one. */
export const correctableFields = [
  "workloadId",
  "ambientC",
  "fanMode",
  "fanRpm",
  "clockMhz",
  "voltageMv",
  "offset",
  "part",
  "loadLine",
  "voltageReadAt",
  "powerAt",
  "startKind",
  "clockMode",
  "training",
  "freshBoot",
  "settingReadBack",
] as const satisfies readonly AttemptFieldName[];
export type CorrectableField = (typeof correctableFields)[number];

export const mostCorrected = 500;

export type ManyCorrected = Readonly<{ ids: readonly string[]; field: CorrectableField; value: unknown }>;

/** One field of many attempts, all of them or none; what each was before is kept in its history. */
export function correctMany({ ids, field, value }: ManyCorrected, at: At): readonly Attempt[] {
  assertMany(ids);
  const refused: Record<string, string> = {};
  const edited = ids.flatMap((id) => {
    const current = found(at.journal.attempts.find(id), "attempt");
    if (sameValue(current[field], value)) return [];
    try {
      return [editAttempt(id, { [field]: value } as AttemptEdit, null, at)];
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      refused[id] = error.fields[field] ?? error.message;
      return [];
    }
  });
  const [first] = Object.values(refused);
  if (first !== undefined)
    throw invalid(`${titleOf(field)} was changed nowhere: ${first}`, { [field]: first, ...refused });
  return edited;
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

const titleOf = (field: CorrectableField): string => fieldDescription[field].title;
