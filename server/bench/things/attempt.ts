import * as z from "zod";
import { errorCount, errorCounts } from "./asSet.ts";
import {
  type AttemptFieldName,
  attemptFieldNames,
  copyFields,
  type KeptFields,
  sentFields,
} from "./attemptFields.ts";
import type { Parts } from "./build.ts";
import { mouldOf } from "./mould.ts";
import type { Kept } from "./thing.ts";
import { text } from "./units.ts";

/** Corrected errors may come as one number or by place. */
export const attemptDraft = z.strictObject({
  ...sentFields,
  correctedErrors: z
    .union([errorCount, errorCounts], { error: "A number, or one for each place." })
    .nullish(),
});
export type AttemptDraft = z.infer<typeof attemptDraft>;
export const attemptEdit = attemptDraft.partial();
export type AttemptEdit = z.infer<typeof attemptEdit>;

/** One try, with every field; null where unknown. */
export type Attempt = Kept &
  KeptFields &
  Readonly<{
    buildId: string;
    mountId: string;
    setAside: Readonly<{ reason: string; at: string }> | null;
    /** The parts of the build as they stood when the attempt was recorded. */
    asBuilt: Parts;
  }>;

const besideFields = ["id", "createdAt", "updatedAt", "version", "buildId", "mountId"] as const;
const blankAttempt = mouldOf([...besideFields, ...attemptFieldNames, "setAside", "asBuilt"]);

/** An attempt of its fields, which may lie among others, and all that is known besides. */
export function attemptOf(
  fields: Readonly<Record<AttemptFieldName, unknown>>,
  beside: Omit<Attempt, AttemptFieldName>,
): Attempt {
  const attempt = blankAttempt();
  copyFields(fields, attempt);
  return Object.assign(attempt, beside) as Attempt;
}

export const setAsideDraft = z.strictObject({
  reason: text(500).refine((reason) => reason.trim() !== "", "Say why it is set aside."),
});
