import fc from "fast-check";
import type { OrderedRow } from "../../server/bench/frontier/evidence.ts";
import type { FrontierQuestion } from "../../server/bench/frontier/frontierPoint.ts";
import type { OrderedKnob } from "../../server/bench/order/knobs.ts";
import { evidenceRow, testWorkload } from "./evidenceRows.ts";
import { asking } from "./frontierRows.ts";

export const curveLoads = {
  all: testWorkload("all", { kind: "all-core", severity: 10 }),
  single: testWorkload("single", { kind: "single-core", severity: 3 }),
  idle: testWorkload("idle", { kind: "idle" }),
};

const offset = fc.constantFrom(0, -5, -10, -15, -20);
const limit: OrderedKnob = { id: "limit", harder: "up", belongs: "setting", usual: 1 };

const attempt = fc.record({
  offset: fc.oneof({ weight: 3, arbitrary: offset }, fc.constant(null)),
  offsets: fc.oneof(
    fc.constant(null),
    fc.record({ a: offset, b: offset }, { requiredKeys: [] }) as fc.Arbitrary<Record<string, number>>,
  ),
  part: fc.constantFrom(null, null, "a", "b"),
  crashPart: fc.constantFrom(null, null, null, "a", "b"),
  workloadId: fc.constantFrom("all", "all", "single", "idle"),
  outcome: fc.constantFrom("pass", "pass", "pass", "stopped", "freeze", "no-start", "too-hot"),
  durationS: fc.constantFrom(60, 900, 3600),
  peakTempC: fc.constantFrom(null, 60, 90),
  knobs: fc.constantFrom(null, null, { limit: 2 }),
  firmware: fc.constantFrom("1", "1", "1", "2"),
  settingReadBack: fc.constantFrom(null, null, null, null, "differs"),
});

/** The record of a chip with two parts that are set by offset. */
export const offsetJournal = fc.array(attempt, { minLength: 4, maxLength: 30, size: "max" }).map((drawn) =>
  drawn.map((differing, i): OrderedRow => {
    const row = {
      ...evidenceRow({ plannedS: null }),
      ...(differing as Partial<OrderedRow>),
      id: `attempt-${i}`,
      startedAt: new Date(Date.UTC(2031, 4, 4, 8, i)).toISOString(),
    };
    return row.offset == null && row.offsets == null ? { ...row, offset: 0 } : row;
  }),
);

export const offsetQuestion = (
  rows: readonly OrderedRow[],
  more: Partial<FrontierQuestion> = {},
): FrontierQuestion =>
  asking(rows, {
    workloads: new Map(Object.values(curveLoads).map((load) => [load.id, load])),
    terms: { knobs: [limit], appliedBy: "firmware", offset: null, startsDraw: false, coldBelowC: null },
    ...more,
  });
