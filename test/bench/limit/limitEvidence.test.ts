import { describe, expect, it } from "vitest";
import {
  buildHeatOf,
  type LimitRecord,
  limitRecordsOf,
  loadedRows,
  rowsThatMayFail,
} from "../../../server/bench/limit/limitEvidence.ts";
import { limitFrameOf, stockCrashNote } from "../../../server/bench/limit/limitFrame.ts";
import type { EvidenceRow } from "../../../server/bench/things/evidenceRow.ts";
import { evidenceRow, testChip, testWorkload } from "../../support/evidenceRows.ts";

const workloads = [testWorkload("all-core"), testWorkload("rest", { kind: "idle" })];
function recordsOf(...rows: EvidenceRow[]): LimitRecord[] {
  const loaded = loadedRows(rows, workloads);
  return limitRecordsOf(loaded, buildHeatOf(loaded, limitFrameOf(testChip(), loaded)!), 0);
}
const only = (row: EvidenceRow): LimitRecord | undefined => recordsOf(row)[0];

describe("the attempts that may speak", () => {
  it("are the very same list when a load comes that none of them ran under, and another when theirs turns idle", () => {
    const rows = [evidenceRow(), evidenceRow({ workloadId: "rest" }), evidenceRow({ outcome: "freeze" })];
    const [speaking, failing] = [loadedRows(rows, workloads), rowsThatMayFail(rows, workloads)];
    const more = [...workloads, testWorkload("night", { kind: "idle" })];
    expect(loadedRows(rows, more)).toBe(speaking);
    expect(rowsThatMayFail(rows, more)).toBe(failing);
    const idle = workloads.map((load) => ({ ...load, kind: "idle" as const }));
    expect([speaking.length, loadedRows(rows, idle).length, rowsThatMayFail(rows, idle).length]).toEqual([
      2, 0, 1,
    ]);
  });
});

describe("what counts as what", () => {
  it("takes a pass and a stop for exposure, and a thermal stop for the time survived", () => {
    for (const outcome of ["pass", "stopped", "too-hot"] as const)
      expect(only(evidenceRow({ outcome, durationS: 1200 }))).toMatchObject({
        failed: false,
        minutesFrom: 20,
      });
  });

  it("takes a crash for a failure within a quarter of its time, within the first minute if it came earlier, and a failed start for no run at all", () => {
    expect(only(evidenceRow({ outcome: "freeze", durationS: 600 }))).toMatchObject({
      failed: true,
      minutesFrom: 8,
      minutesMore: 4.5,
    });
    expect(only(evidenceRow({ outcome: "restart", durationS: 20 }))).toMatchObject({
      minutesFrom: 0,
      minutesMore: 1,
    });
    expect(only(evidenceRow({ outcome: "no-start", durationS: 0 }))).toMatchObject({
      atStart: true,
      minutesFrom: 0,
      minutesMore: 0,
    });
  });

  it("takes the window where one is given: found in the morning", () => {
    const night = { outcome: "freeze" as const, durationS: 28_800 };
    expect(only(evidenceRow({ ...night, failedToS: 600 }))).toMatchObject({
      minutesFrom: 0,
      minutesMore: 10,
    });
    expect(only(evidenceRow({ ...night, failedFromS: 24_000 }))).toMatchObject({
      minutesFrom: 400,
      minutesMore: 80,
    });
    const found = evidenceRow({ outcome: "freeze", durationS: 28_800, failedFromS: 3600, failedToS: 28_800 });
    expect(only(found)).toMatchObject({ failed: true, minutesFrom: 60, minutesMore: 420 });
  });

  it("takes a wrong result for a failure some time in the run, with no exposure", () => {
    expect(only(evidenceRow({ outcome: "wrong-result", durationS: 1800 }))).toMatchObject({
      failed: true,
      minutesFrom: 0,
      minutesMore: 30,
    });
  });

  it("leaves out power cuts, disturbances, running attempts, boost, idle and clocks not known", () => {
    expect(
      recordsOf(
        evidenceRow({ outcome: "power-cut" }),
        evidenceRow({ outcome: "disturbed" }),
        evidenceRow({ outcome: "running" }),
        evidenceRow({ clockMode: "boost", effectiveClockMhz: 4700 }),
        evidenceRow({ workloadId: "rest" }),
        evidenceRow({ throttled: true }),
        evidenceRow({ durationS: 0 }),
      ),
    ).toEqual([]);
  });

  it("reads a slowed attempt at its effective clock", () => {
    expect(only(evidenceRow({ clockMhz: 5000, effectiveClockMhz: 4700 }))?.clockMhz).toBe(4700);
    expect(only(evidenceRow({ clockMhz: 5000, effectiveClockMhz: 4990 }))?.clockMhz).toBe(5000);
  });

  it("leaves out a cold start that failed where a warm one holds, and keeps it where none does", () => {
    const cold = evidenceRow({ outcome: "no-start", startKind: "cold", durationS: 0 });
    expect(recordsOf(cold, evidenceRow({ startKind: "warm" }))).toHaveLength(1);
    expect(recordsOf(cold)).toHaveLength(1);
    const pass = evidenceRow({ startKind: "cold" });
    expect(recordsOf(cold, pass)).toHaveLength(2);
    expect(recordsOf(cold, evidenceRow({ startKind: "warm", outcome: "freeze" }))).toHaveLength(2);
  });

  it("uses the measured temperature once warm, else the law of heat, else a usual rise", () => {
    expect(only(evidenceRow({ loadTempC: 80 }))?.steadyTempC).toBeCloseTo(80, 1);
    const [, expected] = recordsOf(evidenceRow({ loadTempC: 80 }), evidenceRow({ voltageMv: 1300 }));
    expect(expected?.steadyTempC).toBeGreaterThan(82);
    expect(only(evidenceRow())?.steadyTempC).toBeCloseTo(23 + 45, 9);
  });

  it("counts the room as the median of those recorded where an attempt names none", () => {
    const rows = [evidenceRow({ ambientC: 30 }), evidenceRow({ ambientC: null, voltageMv: 1200 })];
    expect(buildHeatOf(rows, limitFrameOf(testChip(), rows)!).roomC).toBe(30);
  });

  it("counts no errors unless they are asked for", () => {
    const rows = [evidenceRow({ correctedErrors: 4 })];
    const heat = buildHeatOf(rows, limitFrameOf(testChip(), rows)!);
    const errorsOf = (also?: object) => limitRecordsOf(rows, heat, 0, also).map(({ errors }) => errors);
    expect([errorsOf(), errorsOf({}), errorsOf({ errors: true })]).toEqual([[null], [null], [4]]);
  });

  it("makes one record of attempts alike, and few of thousands", () => {
    const alike = Array.from({ length: 5000 }, (_, i) => evidenceRow({ loadTempC: 75 + (i % 7) / 10 }));
    const records = recordsOf(...alike);
    expect(records.length).toBeLessThan(10);
    expect(records.reduce((sum, { count }) => sum + count, 0)).toBe(5000);
  });
});

describe("limitFrameOf", () => {
  it("starts from stock, else from the highest clock that ran, else from nothing", () => {
    expect(limitFrameOf(testChip(), [])).toMatchObject({ clockMhz: 4600, voltageMv: 1250, from: "stock" });
    const noStock = testChip({ stockClockMhz: null });
    expect(
      limitFrameOf(noStock, [evidenceRow({ clockMhz: 4000 }), evidenceRow({ clockMhz: 4100 })]),
    ).toMatchObject({
      clockMhz: 4100,
      from: "attempts",
    });
    expect(limitFrameOf(noStock, [])).toBeNull();
  });

  it("leaves out a stock clock typed ten times too high, and says so", () => {
    const frame = limitFrameOf(testChip({ stockClockMhz: 18_000 }), [evidenceRow({ clockMhz: 1800 })])!;
    expect(frame.clockMhz).toBe(1800);
    expect(frame.notes[0]).toContain("18000 MHz does not fit");
  });
});

describe("stockCrashNote", () => {
  it("speaks of a fault elsewhere once the stock setting itself crashes", () => {
    const frame = limitFrameOf(testChip(), [])!;
    expect(stockCrashNote(frame, [evidenceRow({ outcome: "freeze" })])).toContain("fault elsewhere");
    expect(stockCrashNote(frame, [evidenceRow({ outcome: "freeze", clockMhz: 4700 })])).toBeNull();
  });
});
