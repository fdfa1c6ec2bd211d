import type { EvidenceRow } from "../things/evidenceRow.ts";
import { type OutcomeClass, outcomeClass } from "../things/outcome.ts";
import { speaksOf, type Workload } from "../things/workload.ts";

/** An attempt as the questions about clock see it: `clockMhz` is the clock it speaks of, null where it speaks of none. */
export type Trial = Readonly<{
  row: EvidenceRow;
  voltageMv: number;
  clockMhz: number | null;
  class: OutcomeClass;
}>;

export type LookedAt = Readonly<{
  trials: readonly Trial[];
  /** What was left out, and why. */
  leftOut: Readonly<{ idle: number; boost: number; otherWorkload: number }>;
}>;

/** More than 1 % under the set clock, the chip did not run at it: what happened speaks of the effective clock only. */
const slowedBelow = 0.99;

export function evidenceClockMhz(
  row: Pick<EvidenceRow, "clockMhz" | "effectiveClockMhz" | "throttled">,
): number | null {
  const { clockMhz, effectiveClockMhz, throttled } = row;
  const slowed = throttled === true || (effectiveClockMhz ?? clockMhz) < slowedBelow * clockMhz;
  return slowed ? effectiveClockMhz : clockMhz;
}

/** The attempts that speak of a workload, or of any load where none is asked: not idle ones, none on boost. */
export function lookedAt(
  rows: readonly EvidenceRow[],
  workloads: ReadonlyMap<string, Workload>,
  asked: Workload | null,
): LookedAt {
  const leftOut = { idle: 0, boost: 0, otherWorkload: 0 };
  const trials: Trial[] = [];
  for (const row of rows) {
    const workload = workloads.get(row.workloadId);
    if (workload === undefined || workload.kind === "idle") leftOut.idle += 1;
    else if (row.clockMode === "boost") leftOut.boost += 1;
    else if (asked !== null && !speaksOf(workload, asked)) leftOut.otherWorkload += 1;
    else trials.push(trialOf(row));
  }
  return { trials, leftOut };
}

const trialOf = (row: EvidenceRow): Trial => ({
  row,
  voltageMv: row.voltageMv,
  clockMhz: evidenceClockMhz(row),
  class: outcomeClass(row.outcome),
});

/** The hottest an attempt was read to be: its peak, else its load temperature. */
export const hottestC = (row: Pick<EvidenceRow, "peakTempC" | "loadTempC">): number | null =>
  row.peakTempC ?? row.loadTempC;
