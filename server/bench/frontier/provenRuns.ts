import type { EvidenceRow } from "../things/evidenceRow.ts";
import { outcomeClass } from "../things/outcome.ts";
import type { Setting } from "../things/setting.ts";
import type { Workload } from "../things/workload.ts";
import { evidenceClockMhz } from "./evidence.ts";
import { contesting, type Failure, heavinessIn, isAsHard } from "./standingFailures.ts";

/** An answer ran: such a pass stands there, or at a setting as hard or harder. */
export const provenFromS = 600;

/** Passes that nothing contests, under the load asked about or a heavier one. */
export type ProvenRuns = Readonly<{
  /** The longest pass, in seconds, at a setting or one as hard or harder; 0 where there is none. */
  longestS: (setting: Setting) => number;
  passes: readonly EvidenceRow[];
}>;

export function provenRunsOf(
  rows: readonly EvidenceRow[],
  failures: readonly Failure[],
  workloads: readonly Workload[],
  workloadId: string | null,
): ProvenRuns {
  const asHeavy = heavinessIn(workloads);
  const passes = rows.filter((row) => {
    const clockMhz = evidenceClockMhz(row);
    if (outcomeClass(row.outcome) !== "pass" || clockMhz === null) return false;
    if (workloadId !== null && !asHeavy(row.workloadId, workloadId)) return false;
    return contesting(failures, { clockMhz, voltageMv: row.voltageMv }) === undefined;
  });
  return {
    passes,
    longestS: (setting) =>
      passes.reduce((longest, row) => {
        const ran = { clockMhz: evidenceClockMhz(row) ?? 0, voltageMv: row.voltageMv };
        return isAsHard(ran, setting) ? Math.max(longest, row.durationS) : longest;
      }, 0),
  };
}

/** The highest clock proven at a voltage or a lower one; null where none is. */
export const provenTopMhz = ({ passes }: ProvenRuns, voltageMv: number): number | null =>
  passes.reduce<number | null>((top, row) => {
    const clockMhz = evidenceClockMhz(row);
    const counts = row.durationS >= provenFromS && row.voltageMv <= voltageMv && clockMhz !== null;
    return counts && (top === null || clockMhz > top) ? clockMhz : top;
  }, null);
