import { errorsThatSpeak } from "../things/asSet.ts";
import type { TriedRow } from "../things/evidenceRow.ts";
import type { Requirement } from "../things/rule.ts";

/** Whether the passes at one setting show all that a rule requires. */
export function meetsRule(passes: readonly TriedRow[], requires: readonly Requirement[]): boolean {
  for (const wanted of requires) if (!meetsRequirement(passes, wanted)) return false;
  return true;
}

function meetsRequirement(passes: readonly TriedRow[], wanted: Requirement): boolean {
  let [good, cold, trained] = [0, 0, 0];
  for (const pass of passes) {
    if (!isGood(pass, wanted)) continue;
    good += 1;
    if (pass.startKind === "cold") cold += 1;
    if (pass.training === "full") trained += 1;
  }
  return good > 0 && cold >= (wanted.coldStarts ?? 0) && trained >= (wanted.trainings ?? 0);
}

const isGood = (pass: TriedRow, wanted: Requirement): boolean =>
  (wanted.workloadId === null || pass.workloadId === wanted.workloadId) &&
  pass.durationS >= wanted.durationS &&
  (wanted.correctedErrors === null || errorsThatSpeak(pass) === 0) &&
  (wanted.cycles == null || (pass.cycles ?? 0) >= wanted.cycles);
