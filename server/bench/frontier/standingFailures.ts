import { groupedBy } from "../../numerics/groups.ts";
import { readLimitC } from "../things/chip.ts";
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
  chip: Readonly<{ tempLimitC: number; warnMarginC: number; controlOffsetC?: number | null }>;
  workloads: readonly Workload[];
  /** The load asked about; null for any. */
  workloadId: string | null;
  /** Attempts doubted over one half. */
  doubted: ReadonlySet<string>;
}>;

export const isAsHard = (setting: Setting, than: Setting): boolean =>
  setting.clockMhz >= than.clockMhz && setting.voltageMv <= than.voltageMv;

/** A row with the clock it speaks of. */
type Ran = Setting & Readonly<{ row: EvidenceRow }>;

/** The failures under the load asked about or a lighter one, idling the lightest, the lowest clock first; those doubted are left out. */
export function failuresOf(question: FailureQuestion): Failure[] {
  const { rows, chip, workloads, workloadId, doubted } = question;
  const asHeavy = heavinessIn(workloads);
  const idle = new Set(workloads.filter(({ kind }) => kind === "idle").map(({ id }) => id));
  const ran = rows.flatMap((row): Ran[] => {
    const clockMhz = evidenceClockMhz(row);
    return clockMhz === null ? [] : [{ row, clockMhz, voltageMv: row.voltageMv }];
  });
  const passes = lastingPasses(ran.filter(({ row }) => outcomeClass(row.outcome) === "pass"));
  const hottest = hottestByVoltage(rows);
  const failures = ran.flatMap((failed): Failure[] => {
    const { row } = failed;
    const isLeftOut = !isCrash(row.outcome) || doubted.has(row.id);
    const isOfIdling = idle.has(row.workloadId);
    if (isLeftOut || (workloadId !== null && !isOfIdling && !asHeavy(workloadId, row.workloadId))) return [];
    const warmth = hottestC(row) ?? hottest.get(row.voltageMv) ?? Number.NEGATIVE_INFINITY;
    const outlived = passes.some(
      (later) => outlives(later, failed) && asHeavy(later.row.workloadId, row.workloadId),
    );
    return [{ ...failed, warm: warmth >= readLimitC(chip) - chip.warnMarginC, outlived }];
  });
  return oneEach(failures).sort((a, b) => a.clockMhz - b.clockMhz || b.voltageMv - a.voltageMv);
}

/** Of passes alike in setting and load those that no later one outlasts: what outlives a failure is among them. */
function lastingPasses(passes: readonly Ran[]): readonly Ran[] {
  const alike = groupedBy(passes, ({ clockMhz, voltageMv, row }) =>
    [clockMhz, voltageMv, row.workloadId].join(),
  );
  return [...alike.values()].flatMap((group) => {
    const latestFirst = group.toSorted((a, b) => (a.row.startedAt < b.row.startedAt ? 1 : -1));
    let longestS = Number.NEGATIVE_INFINITY;
    return latestFirst.filter(({ row }) => {
      const lasts = row.durationS > longestS;
      longestS = Math.max(longestS, row.durationS);
      return lasts;
    });
  });
}

/** Of failures that say the same, the first stands for all. */
const oneEach = (failures: readonly Failure[]): Failure[] => [
  ...new Map(
    failures.toReversed().map((one) => [[one.clockMhz, one.voltageMv, one.warm, one.outlived].join(), one]),
  ).values(),
];

function hottestByVoltage(rows: readonly EvidenceRow[]): Map<number, number> {
  const hottest = new Map<number, number>();
  for (const row of rows) {
    const tempC = hottestC(row);
    if (tempC !== null && tempC > (hottest.get(row.voltageMv) ?? Number.NEGATIVE_INFINITY))
      hottest.set(row.voltageMv, tempC);
  }
  return hottest;
}

const outlives = (later: Ran, failed: Ran): boolean =>
  isAsHard(later, failed) &&
  later.row.durationS > failed.row.durationS &&
  later.row.startedAt > failed.row.startedAt;

/** Whether one load is the other, or known to be heavier. */
export function heavinessIn(workloads: readonly Workload[]): (id: string, than: string) => boolean {
  const known = new Map(workloads.map((workload) => [workload.id, workload]));
  return (id, than) => {
    const [one, other] = [known.get(id), known.get(than)];
    return id === than || (one !== undefined && other !== undefined && speaksOf(one, other));
  };
}

/** Whether a failure speaks against a setting: one as hard or harder, at its own voltage where heat may have been the cause. */
const speaksAgainst = (failure: Failure, setting: Setting): boolean =>
  isAsHard(setting, failure) && (!failure.warm || failure.voltageMv === setting.voltageMv);

export const contesting = (failures: readonly Failure[], setting: Setting): Failure | undefined =>
  failures.find((failure) => speaksAgainst(failure, setting));

/** The failure for which a setting is not proposed. */
export const barring = (failures: readonly Failure[], setting: Setting): Failure | undefined =>
  failures.find((failure) => !failure.outlived && speaksAgainst(failure, setting));
