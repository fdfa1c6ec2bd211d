import { settingsInDoubt } from "../order/appliedSettings.ts";
import { groupsOf, type Ordered } from "../order/groups.ts";
import type { KnobGroup, KnobOrder } from "../order/knobs.ts";
import { silenceOf } from "../order/loadsThatSpeak.ts";
import { classOn, type OrderTerms, plainTerms } from "../order/terms.ts";
import type { EvidenceRow, TriedRow } from "../things/evidenceRow.ts";
import type { OutcomeClass } from "../things/outcome.ts";
import type { Workload } from "../things/workload.ts";

/** A row with the firmware it ran under, where the build keeps versions. */
export type OrderedRow = EvidenceRow & Ordered;
/** The same of an attempt that was set by whatever its chip is set by. */
export type OrderedTry = TriedRow & Ordered;

/** An attempt as the questions about clock see it: `clockMhz` is the clock it speaks of, null where it speaks of none. */
export type Trial<Row extends OrderedTry = OrderedRow> = Readonly<{
  row: Row;
  voltageMv: number;
  clockMhz: number | null;
  class: OutcomeClass;
  /** How the knobs stood that belong to the setting. */
  group: KnobGroup;
}>;

export type AnyTrial = Trial<OrderedTry>;

export type LookedAt = Readonly<{
  trials: readonly Trial[];
  order: KnobOrder;
  /** What was left out, and why. */
  leftOut: Readonly<{ idle: number; boost: number; otherWorkload: number; inDoubt: number }>;
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

/** Whether what happened speaks of the clock that was set; a run held back speaks of one that nobody can set. */
export const ranAsSet = (row: Parameters<typeof evidenceClockMhz>[0]): boolean =>
  evidenceClockMhz(row) === row.clockMhz;

/**
 * The attempts that speak of a workload, or of any load where none is asked: of idle ones the crashes alone, none on
 * boost. A pass of which nobody knows whether its setting was applied counts for nothing until it is confirmed.
 */
export function lookedAt(
  rows: readonly OrderedRow[],
  workloads: ReadonlyMap<string, Workload>,
  asked: Workload | null,
  terms: OrderTerms = plainTerms,
): LookedAt {
  const leftOut = { idle: 0, boost: 0, otherWorkload: 0, inDoubt: 0 };
  const inDoubt = settingsInDoubt(rows, terms.appliedBy);
  const placed: Omit<Trial, "group">[] = [];
  for (const row of rows) {
    const kind = classOn(terms, row);
    const silence = silenceOf(workloads.get(row.workloadId), kind, { asked, alongCurve: false });
    if (silence !== null) leftOut[silence] += 1;
    else if (row.clockMode === "boost") leftOut.boost += 1;
    else if (inDoubt.has(row.id) && kind !== "crash") leftOut.inDoubt += 1;
    else placed.push({ row, voltageMv: row.voltageMv, clockMhz: evidenceClockMhz(row), class: kind });
  }
  const { order, groupOf } = groupsOf(terms.knobs, placed);
  const trials = placed.map(
    (one): Trial => ({
      row: one.row,
      voltageMv: one.voltageMv,
      clockMhz: one.clockMhz,
      class: one.class,
      group: groupOf(one),
    }),
  );
  return { trials, order, leftOut };
}

/** The hottest an attempt was read to be: its peak, else its load temperature. */
export const hottestC = (row: Pick<EvidenceRow, "peakTempC" | "loadTempC">): number | null =>
  row.peakTempC ?? row.loadTempC;
