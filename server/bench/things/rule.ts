import * as z from "zod";
import type { Kept } from "./thing.ts";
import { count, durationS, id, name } from "./units.ts";

const requirement = z
  .strictObject({
    workloadId: id.nullish(),
    anyWorkload: z.literal(true, { error: "anyWorkload is true or left out." }).nullish(),
    durationS,
    correctedErrors: z.literal(0, { error: "Only 0 corrected errors can be required." }).nullish(),
    coldStarts: count("The number of cold starts", 1000).nullish(),
    cycles: count("The number of cycles", 1_000_000).nullish(),
    trainings: count("The number of trainings", 1000).nullish(),
  })
  .refine(
    (wanted) => (wanted.workloadId == null) === (wanted.anyWorkload === true),
    "A requirement names either a workloadId or anyWorkload: true.",
  );

export const ruleDraft = z.strictObject({
  name,
  requires: z.array(requirement).min(1, "A rule needs at least one requirement.").max(50),
});
export type RuleDraft = z.infer<typeof ruleDraft>;

/** What one pass must have shown. `anyWorkload` never means an idle one. */
export type Requirement = Readonly<{
  workloadId: string | null;
  anyWorkload: true | null;
  durationS: number;
  /** 0 where the pass must have been read to have no corrected errors. */
  correctedErrors: 0 | null;
  /** How many long enough passes must have begun from cold. */
  coldStarts: number | null;
  /** How many cycles of a memory test each pass must have run. */
  cycles?: number | null;
  /** Over how many full trainings of the memory it must have passed. */
  trainings?: number | null;
}>;

/** What must have passed, and for how long, before a setting counts. */
export type Rule = Kept & Readonly<{ name: string; requires: readonly Requirement[] }>;

export const ruleFrom = (draft: RuleDraft): Omit<Rule, keyof Kept> => ({
  name: draft.name,
  requires: draft.requires.map((wanted) => ({
    workloadId: wanted.workloadId ?? null,
    anyWorkload: wanted.anyWorkload ?? null,
    durationS: wanted.durationS,
    correctedErrors: wanted.correctedErrors ?? null,
    coldStarts: wanted.coldStarts ?? null,
    ...(wanted.cycles == null ? {} : { cycles: wanted.cycles }),
    ...(wanted.trainings == null ? {} : { trainings: wanted.trainings }),
  })),
});

/** The rule that always exists: any workload for a quarter of an hour (common practice). */
export const standardRuleId = "00000000-0000-7000-8000-000000000001";
export const standardRuleSince = "2000-01-01T00:00:00.000Z";

/** It is one thing in every journal, whenever that was begun. */
export const sinceAlways = <Thing extends Kept>(rule: Thing): Thing =>
  rule.id !== standardRuleId
    ? rule
    : {
        ...rule,
        createdAt: standardRuleSince,
        updatedAt: rule.version === 1 ? standardRuleSince : rule.updatedAt,
      };

export const standardRule: Omit<Rule, keyof Kept> = {
  name: "Any load, 15 minutes",
  requires: [
    { workloadId: null, anyWorkload: true, durationS: 900, correctedErrors: null, coldStarts: null },
  ],
};
