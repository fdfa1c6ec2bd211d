import { describe, expect, it } from "vitest";
import { benchCostsFrom, usualBenchCosts } from "../../../server/bench/next/benchCosts.ts";
import type { EvidenceRow } from "../../../server/bench/things/evidenceRow.ts";
import type { Outcome } from "../../../server/bench/things/outcome.ts";
import { evidenceRow } from "../../support/evidenceRows.ts";

/** Attempts of ten minutes, each begun so many minutes after the one before had ended. */
function evening(gaps: readonly (readonly [Outcome, number])[]): EvidenceRow[] {
  let startsAt = Date.UTC(2031, 4, 4);
  return gaps.map(([outcome, gapAfter]) => {
    const row = evidenceRow({ outcome, durationS: 600, startedAt: new Date(startsAt).toISOString() });
    startsAt += (10 + gapAfter) * 60_000;
    return row;
  });
}
const times = (count: number, outcome: Outcome, minutes: number) =>
  Array.from({ length: count }, () => [outcome, minutes] as const);

describe("benchCostsFrom(rows)", () => {
  it("is what is usual until there are five gaps of a kind", () => {
    expect(benchCostsFrom([])).toEqual(usualBenchCosts);
    expect(benchCostsFrom(evening([...times(4, "pass", 9), ["pass", 0]]))).toEqual(usualBenchCosts);
  });

  it("is the middle gap after a pass, whatever order the rows come in", () => {
    const rows = evening([...times(2, "pass", 3), ...times(2, "pass", 5), ["pass", 4], ["pass", 0]]);
    expect(benchCostsFrom([...rows].reverse()).setupMinutes).toBeCloseTo(4, 9);
    const even = evening([...times(3, "pass", 3), ...times(3, "pass", 5), ["pass", 0]]);
    expect(benchCostsFrom(even).setupMinutes).toBeCloseTo(4, 9);
  });

  it("takes what a crash and a failed start cost beyond setting up", () => {
    const rows = evening([
      ...times(5, "pass", 3),
      ...times(5, "freeze", 8),
      ...times(5, "no-start", 12),
      ["pass", 0],
    ]);
    expect(benchCostsFrom(rows)).toMatchObject({ setupMinutes: 3, crashMinutes: 5, noStartMinutes: 9 });
    const quick = evening([...times(5, "pass", 6), ...times(5, "freeze", 2), ["pass", 0]]);
    expect(benchCostsFrom(quick).crashMinutes).toBe(0);
  });

  it("leaves out the nights between, and what was entered as begun before the last had ended", () => {
    const rows = evening([
      ...times(5, "pass", 3),
      ...times(9, "pass", 61),
      ...times(9, "pass", -5),
      ["pass", 0],
    ]);
    expect(benchCostsFrom(rows).setupMinutes).toBeCloseTo(3, 9);
    expect(benchCostsFrom(evening([...times(5, "pass", 60), ["pass", 0]])).setupMinutes).toBeCloseTo(60, 9);
  });
});
