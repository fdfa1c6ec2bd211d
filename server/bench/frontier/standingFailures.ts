import type { EvidenceRow } from "../things/evidenceRow.ts";
import { isCrash, outcomeClass } from "../things/outcome.ts";
import type { Setting } from "../things/setting.ts";
import { speaksOf, type Workload } from "../things/workload.ts";
import { evidenceClockMhz, hottestC } from "./evidence.ts";

/** A failure that nothing explains away: what was run as hard or harder is contested by it. */
export type Failure = Setting &
  Readonly<{
    row: EvidenceRow;
    /** It ran so warm that heat may have been its cause: then it says nothing of lower voltages. */
    warm: boolean;
    /** A later pass as hard and longer speaks against it: it no longer stands in the way of trying again. */
    outlived: boolean;
  }>;

export type FailureQuestion = Readonly<{
  rows: readonly EvidenceRow[];
  chip: Readonly<{ tempLimitC: number; warnMarginC: number }>;
  workloads: readonly Workload[];
  /** The load asked about; null for any. */
  workloadId: string | null;
  /** Attempts doubted over one half. */
  doubted: ReadonlySet<string>;
}>;

export const isAsHard = (setting: Setting, than: Setting): boolean =>
  setting.clockMhz >= than.clockMhz && setting.voltageMv <= than.voltageMv;

/** The failures under the load asked about or a lighter one, the lowest clock first; those doubted are left out. */
export function failuresOf({ rows, chip, workloads, workloadId, doubted }: FailureQuestion): Failure[] {
  const asHeavy = heavinessIn(workloads);
  const failures = rows.flatMap((row) => {
    const clockMhz = evidenceClockMhz(row);
    const isLeftOut = clockMhz === null || !isCrash(row.outcome) || doubted.has(row.id);
    if (isLeftOut || (workloadId !== null && !asHeavy(workloadId, row.workloadId))) return [];
    const { voltageMv } = row;
    const warm = warmthAt(rows, row) >= chip.tempLimitC - chip.warnMarginC;
    const outlived = rows.some((later) => outlives(later, row) && asHeavy(later.workloadId, row.workloadId));
    return [{ row, clockMhz, voltageMv, warm, outlived }];
  });
  return failures.sort((a, b) => a.clockMhz - b.clockMhz || b.voltageMv - a.voltageMv);
}

/** Whether one load is the other, or known to be heavier. */
export function heavinessIn(workloads: readonly Workload[]): (id: string, than: string) => boolean {
  const known = new Map(workloads.map((workload) => [workload.id, workload]));
  return (id, than) => {
    const [one, other] = [known.get(id), known.get(than)];
    return id === than || (one !== undefined && other !== undefined && speaksOf(one, other));
  };
}

/** Its own temperature, else the hottest recorded at its voltage. */
const warmthAt = (rows: readonly EvidenceRow[], row: EvidenceRow): number =>
  hottestC(row) ??
  rows.reduce(
    (most, other) => (other.voltageMv === row.voltageMv ? Math.max(most, hottestC(other) ?? most) : most),
    Number.NEGATIVE_INFINITY,
  );

function outlives(later: EvidenceRow, failed: EvidenceRow): boolean {
  const [clockMhz, failedMhz] = [evidenceClockMhz(later), evidenceClockMhz(failed)];
  return (
    outcomeClass(later.outcome) === "pass" &&
    later.startedAt > failed.startedAt &&
    later.durationS > failed.durationS &&
    clockMhz !== null &&
    failedMhz !== null &&
    clockMhz >= failedMhz &&
    later.voltageMv <= failed.voltageMv
  );
}

/** Whether a failure speaks against a setting: one as hard or harder, at its own voltage where heat may have been the cause. */
const speaksAgainst = (failure: Failure, setting: Setting): boolean =>
  isAsHard(setting, failure) && (!failure.warm || failure.voltageMv === setting.voltageMv);

export const contesting = (failures: readonly Failure[], setting: Setting): Failure | undefined =>
  failures.find((failure) => speaksAgainst(failure, setting));

/** The failure for which a setting is not proposed. */
export const barring = (failures: readonly Failure[], setting: Setting): Failure | undefined =>
  failures.find((failure) => !failure.outlived && speaksAgainst(failure, setting));
