import { describe, expect, it } from "vitest";
import { groundsOf, isOnSameRecord, moversSince } from "../../server/answers/answerGrounds.ts";
import type { PlacedAttempt } from "../../server/bench/things/placedAttempt.ts";
import { evidenceRow, testChip, testWorkload } from "../support/evidenceRows.ts";

const before = {
  ...{ chip: testChip(), hottestAmbientC: 30, workloads: [testWorkload("all-core")] },
  rows: [evidenceRow()],
};
const row = evidenceRow({ clockMhz: 4700, voltageMv: 1282 });
const placed: PlacedAttempt = { row, readDeviationMv: 3, droopDeviationMv: 8, droop: "board" };

describe("what an answer rested on", () => {
  it("names an attempt on automatic voltage that was placed, as it was recorded", () => {
    const now = { ...before, placed: [placed] };
    expect(isOnSameRecord(now, groundsOf(before))).toBe(false);
    expect(moversSince(now, groundsOf(before))).toEqual([
      { attemptId: row.id, words: "4700 MHz on automatic voltage passed after 60 min." },
    ]);
  });

  it("is no other where the droop places the same attempt elsewhere", () => {
    const moved = { ...placed, row: { ...row, voltageMv: 1290 }, droopDeviationMv: 5 };
    const grounds = groundsOf({ ...before, placed: [placed] });
    expect(groundsOf({ ...before, placed: [moved] })).toEqual(grounds);
    expect(isOnSameRecord({ ...before, placed: [moved] }, grounds)).toBe(true);
  });

  it("has the print it always had where nothing was placed", () => {
    expect(groundsOf({ ...before, placed: [] })).toEqual(groundsOf(before));
  });

  it("lists the same rows in the same list, which needs no comparing", () => {
    const { attempts } = groundsOf(before);
    expect(groundsOf({ ...before, hottestAmbientC: 35 }).attempts).toBe(attempts);
    expect(groundsOf({ ...before, rows: [...before.rows] }).attempts).not.toBe(attempts);
  });

  it("is told of the same rows on each grounds, however often", () => {
    const rows = [before.rows[0]!, row, { ...row, id: "another", clockMhz: 4750 }];
    const now = { ...before, rows };
    const [first, both] = [groundsOf(before), groundsOf({ ...before, rows: rows.slice(0, 2) })];
    for (let round = 0; round < 2; round += 1) {
      const moved = [first, both].map((grounds) =>
        moversSince(now, grounds).map(({ attemptId }) => attemptId),
      );
      expect(moved).toEqual([["another", row.id], ["another"]]);
      expect([first, both, groundsOf(now)].map((grounds) => isOnSameRecord(now, grounds))).toEqual([
        false,
        false,
        true,
      ]);
    }
  });
});
