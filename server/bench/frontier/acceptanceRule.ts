import type { EvidenceRow } from "../things/evidenceRow.ts";
import type { Requirement } from "../things/rule.ts";

/** Whether the passes at one setting show all that a rule requires. */
export const meetsRule = (passes: readonly EvidenceRow[], requires: readonly Requirement[]): boolean =>
  requires.every((wanted) => meetsRequirement(passes, wanted));

function meetsRequirement(passes: readonly EvidenceRow[], wanted: Requirement): boolean {
  const good = passes.filter(
    (pass) =>
      (wanted.workloadId === null || pass.workloadId === wanted.workloadId) &&
      pass.durationS >= wanted.durationS &&
      (wanted.correctedErrors === null || pass.correctedErrors === 0),
  );
  const cold = good.filter((pass) => pass.startKind === "cold").length;
  return good.length > 0 && cold >= (wanted.coldStarts ?? 0);
}
