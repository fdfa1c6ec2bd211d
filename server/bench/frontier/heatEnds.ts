import type { EvidenceRow } from "../things/evidenceRow.ts";
import { outcomeClass } from "../things/outcome.ts";
import type { Setting } from "../things/setting.ts";
import type { Workload } from "../things/workload.ts";
import { heavinessIn } from "./standingFailures.ts";

/** The attempts that heat ended and that no later, longer pass as hot speaks against; under the load asked about or a lighter one. */
export function heatEndsOf(
  rows: readonly EvidenceRow[],
  workloads: readonly Workload[],
  workloadId: string | null,
): EvidenceRow[] {
  const asHeavy = heavinessIn(workloads);
  return rows.filter(
    (row) =>
      outcomeClass(row.outcome) === "thermal" &&
      (workloadId === null || asHeavy(workloadId, row.workloadId)) &&
      !rows.some((later) => bears(later, row) && asHeavy(later.workloadId, row.workloadId)),
  );
}

/** A later pass as hot and longer: that heat is borne now. */
const bears = (later: EvidenceRow, hot: EvidenceRow): boolean =>
  outcomeClass(later.outcome) === "pass" &&
  later.startedAt > hot.startedAt &&
  later.durationS > hot.durationS &&
  isAsHot(later, hot);

const isAsHot = (setting: Setting, than: Setting): boolean =>
  setting.clockMhz >= than.clockMhz && setting.voltageMv >= than.voltageMv;

/** The attempt that heat ended at a setting, or at one that heats no more. */
export const endedByHeat = (ends: readonly EvidenceRow[], setting: Setting): EvidenceRow | undefined =>
  ends.find((row) => isAsHot(setting, row));
