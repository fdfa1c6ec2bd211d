import { describe, expect, it } from "vitest";
import { clockDifferenceOf } from "../../../server/bench/limit/clockDifference.ts";
import type { EvidenceRow } from "../../../server/bench/things/evidenceRow.ts";
import { evidenceRow, testChip, testWorkload } from "../../support/evidenceRows.ts";

const passes = (more: number): EvidenceRow[] =>
  [4950, 4975, 5000, 5025].map((clockMhz) => evidenceRow({ clockMhz: clockMhz + more, loadTempC: 70 }));
const crashes = (more: number): EvidenceRow[] =>
  [5075, 5100, 5125].map((clockMhz) =>
    evidenceRow({ clockMhz: clockMhz + more, outcome: "freeze", durationS: 120, loadTempC: 70 }),
  );
const apart = (a: EvidenceRow[], b: EvidenceRow[], chipOfB = "chip-2") =>
  clockDifferenceOf({
    a: { chip: testChip(), rows: a },
    b: { chip: testChip({ id: chipOfB }), rows: b },
    ...{ workloads: [testWorkload("all-core")], workloadId: null },
  });
const both = (more: number): EvidenceRow[] => [...passes(more), ...crashes(more)];

describe("clockDifferenceOf(question)", () => {
  it.each(["chip-1", "chip-2"])(
    "finds that one record lies 100 MHz further up than the other (%s)",
    (chip) => {
      const found = apart(both(0), both(100), chip)!;
      expect(found.joint).toBe(chip === testChip().id);
      expect(Math.abs(found.differenceMhz - 100)).toBeLessThan(30);
      expect(found.low!).toBeLessThan(100);
      expect(found.high!).toBeGreaterThan(100);
      expect(found.voltages.map(({ voltageMv }) => voltageMv)).toEqual([1250]);
    },
  );

  it("says nothing where the voltages of one lie all above those of the other", () => {
    const higher = both(100).map((row) => ({ ...row, voltageMv: 1350 }));
    expect(apart(both(0), higher, "chip-1")).toBeNull();
    expect(apart(both(0), [])).toBeNull();
  });

  it("leaves the end open on the side that has only passed, and says nothing where both have", () => {
    for (const chip of ["chip-1", "chip-2"]) {
      const [low, high] = [expect.any(Number), expect.any(Number)];
      expect(apart(both(0), passes(100), chip)).toMatchObject({ low, high: null });
      expect(apart(passes(0), both(100), chip)).toMatchObject({ low: null, high });
      expect(apart(passes(0), passes(100), chip)).toBeNull();
    }
  });

  it("is told where the voltages tried on either meet, where none was tried on both", () => {
    const at = (voltageMv: number) => both(0).map((row) => ({ ...row, voltageMv }));
    const voltages = (a: EvidenceRow[], b: EvidenceRow[]) =>
      apart(a, b)?.voltages.map(({ voltageMv }) => voltageMv) ?? [];
    expect(voltages(at(1250), [...at(1200), ...at(1300)])).toEqual([1250]);
    expect(voltages([...at(1200), ...at(1260)], [...at(1240), ...at(1300)])).toEqual([1240, 1260]);
    expect(voltages(at(1200), at(1300))).toEqual([]);
  });

  it("says nothing of two attempts, but of three, of either chip or of one in two builds", () => {
    for (const chip of ["chip-1", "chip-2"]) {
      expect(apart(both(0).slice(-2), both(100), chip)).toBeNull();
      expect(apart(both(0), both(100).slice(3, 5), chip)).toBeNull();
      expect(apart(both(0).slice(2, 5), both(100), chip)).not.toBeNull();
    }
  });
});
