import type { EvidenceRow } from "../things/evidenceRow.ts";
import { outcomeClass } from "../things/outcome.ts";
import type { Setting } from "../things/setting.ts";
import type { Workload } from "../things/workload.ts";
import { evidenceClockMhz } from "./evidence.ts";
import { contesting, type Failure, heavinessIn, isAsHard } from "./standingFailures.ts";

/** An answer ran: such a pass stands there, or at a setting as hard or harder. */
export const provenFromS = 600;

/** A pass that nothing contests, the longest at its setting. */
type ProvenRun = Setting & Readonly<{ durationS: number }>;

/** Passes that nothing contests, under the load asked about or a heavier one. */
export type ProvenRuns = Readonly<{
  /** The longest pass, in seconds, at a setting or one as hard or harder; 0 where there is none. */
  longestS: (setting: Setting) => number;
  /** The highest clock that ran long enough to be an answer, at a voltage or a lower one; null where none did. */
  topMhz: (voltageMv: number) => number | null;
}>;

export function provenRunsOf(
  rows: readonly EvidenceRow[],
  failures: readonly Failure[],
  workloads: readonly Workload[],
  workloadId: string | null,
): ProvenRuns {
  const asHeavy = heavinessIn(workloads);
  const longest = new Map<string, ProvenRun>();
  for (const row of rows) {
    const clockMhz = evidenceClockMhz(row);
    if (outcomeClass(row.outcome) !== "pass" || clockMhz === null) continue;
    if (workloadId !== null && !asHeavy(row.workloadId, workloadId)) continue;
    const { voltageMv, durationS } = row;
    const key = `${clockMhz} ${voltageMv}`;
    if (durationS > (longest.get(key)?.durationS ?? -1)) longest.set(key, { clockMhz, voltageMv, durationS });
  }
  const passes = [...longest.values()].filter((pass) => contesting(failures, pass) === undefined);
  const most = (values: readonly number[]): number | null =>
    values.reduce<number | null>((top, value) => (top === null || value > top ? value : top), null);
  return {
    longestS: (setting) =>
      most(passes.flatMap((pass) => (isAsHard(pass, setting) ? pass.durationS : []))) ?? 0,
    topMhz: (voltageMv) =>
      most(
        passes.flatMap((pass) =>
          pass.durationS >= provenFromS && pass.voltageMv <= voltageMv ? pass.clockMhz : [],
        ),
      ),
  };
}
