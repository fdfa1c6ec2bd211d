import { describe, expect, it } from "vitest";
import type { EvidenceRow } from "../../../server/bench/things/evidenceRow.ts";
import { ask, narrowed, proposed, settled } from "../../support/askNext.ts";
import { evidenceRow } from "../../support/evidenceRows.ts";

describe("nextAttemptOf with other builds of the chip", () => {
  const others = (count: number) =>
    Array.from({ length: count }, (_, i) => ({ name: `Board ${i + 1}`, rows: narrowed.slice(i) }));

  it("names the builds that taught the start, two of them and how many more", () => {
    const told = (count: number) => ask([], { otherBuilds: others(count) });
    expect(proposed(told(1)).because).toMatch(/ It starts from what this chip showed on Board 1\.$/);
    expect(proposed(told(2)).because).toMatch(/ on Board 1 and Board 2\.$/);
    expect(proposed(told(3)).because).toMatch(/ on Board 1, Board 2 and 1 more\.$/);
    expect(proposed(told(3)).taughtBy).toEqual(["Board 1", "Board 2", "Board 3"]);
  });

  it("names only builds that were counted: at most three, and none without attempts", () => {
    const { taughtBy } = proposed(ask([], { otherBuilds: [...others(5), { name: "Bare", rows: [] }] }));
    expect(taughtBy).toEqual(["Board 1", "Board 2", "Board 3"]);
    const alone = proposed(ask([], { otherBuilds: [{ name: "Bare", rows: [] }] }));
    expect(alone.taughtBy).toEqual([]);
    expect(alone.because).not.toContain("starts from");
  });

  it("goes no further than a failure of this build, however far the others went, until it passed as hard itself", () => {
    const early = evidenceRow({ clockMhz: 4500, outcome: "freeze", durationS: 5 });
    const easier = evidenceRow({ clockMhz: 4450, durationS: 1200, loadTempC: 65 });
    const asHard = evidenceRow({ clockMhz: 4550, durationS: 2400, loadTempC: 65 });
    const clockOf = (...rows: EvidenceRow[]) => proposed(ask(rows, { otherBuilds: others(3) })).clockMhz;
    expect(clockOf(early)).toBeLessThan(4500);
    expect(clockOf(easier, early)).toBeLessThan(4500);
    expect(clockOf(easier, early, asHard)).toBeGreaterThan(4500);
  });

  it("says it of what is settled too", () => {
    const answer = settled(ask(narrowed, { otherBuilds: others(1) }));
    expect(answer.taughtBy).toEqual(["Board 1"]);
    expect(answer.because).toMatch(/on Board 1\.$/);
  });
});
