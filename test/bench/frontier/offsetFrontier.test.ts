import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { OrderedRow } from "../../../server/bench/frontier/evidence.ts";
import { offsetFrontierOf } from "../../../server/bench/frontier/offsetFrontier.ts";
import { evidenceRow } from "../../support/evidenceRows.ts";
import { curveLoads, offsetJournal, offsetQuestion } from "../../support/offsetJournals.ts";
import { slowOffsetFrontier } from "../../support/slowOffsetFrontier.ts";

const down = { harder: "down", sharedSupply: false } as const;
const run = (differing: Partial<OrderedRow>): OrderedRow => ({
  ...evidenceRow({ workloadId: "all", durationS: 1800 }),
  ...differing,
});
const crash = (differing: Partial<OrderedRow>) => run({ outcome: "freeze", durationS: 60, ...differing });
const frontier = (rows: readonly OrderedRow[], meaning = down, more = {}) =>
  offsetFrontierOf(offsetQuestion(rows, more), meaning);
const heldOf = (rows: readonly OrderedRow[], meaning = down, more = {}) =>
  frontier(rows, meaning, more).rows.map(({ heldOffset }) => heldOffset);

describe("the frontier of a chip that is set by offset", () => {
  it("has one row for a chip set as a whole: the hardest held, what failed, and the time behind it", () => {
    const rows = [run({ offset: 100 }), run({ offset: 115 }), crash({ offset: 130 }), run({ offset: 0 })];
    const { rows: read, together } = frontier(rows, { harder: "up", sharedSupply: false } as never);
    expect(read).toHaveLength(1);
    expect(read[0]).toMatchObject({
      part: null,
      hardestPassed: 115,
      heldOffset: 115,
      easiestCrash: 130,
      gap: 15,
      evidence: { exposureS: 1800, passes: 1, crashes: 1 },
    });
    expect(together).toBeNull();
  });

  it("counts clean time at harder offsets up to the easiest that failed", () => {
    const rows = [run({ offset: -10 }), run({ offset: -15, durationS: 600 }), crash({ offset: -20 })];
    expect(frontier(rows).rows[0]).toMatchObject({ heldOffset: -10, evidence: { exposureS: 2400 } });
  });

  it("lets a pass of one part say nothing of another, and a failure under all nothing of any part", () => {
    const rows = [run({ part: "core 1", offset: -20 }), crash({ offsets: { "core 1": -10, "core 2": -10 } })];
    const { rows: read, together } = frontier(rows);
    expect(read.map(({ part, heldOffset }) => [part, heldOffset])).toEqual([
      ["core 1", -20],
      ["core 2", null],
    ]);
    expect(read.map(({ contested }) => contested)).toEqual([[], []]);
    expect(together).toMatchObject({ offsets: null, provedTogether: false });
  });

  it("gives a failure under all to the part that is known to have failed", () => {
    const both = { offsets: { "core 1": -10, "core 2": -10 } };
    expect(heldOf([run(both), crash({ ...both, crashPart: "core 2" })])).toEqual([-10, null]);
  });

  it("on a shared supply counts a part only where the others idled or asked for no more", () => {
    const rows = [run({ offsets: { "core 1": -20, "core 2": -5 } }), run({ part: "core 1", offset: -10 })];
    expect(heldOf(rows)).toEqual([-20, -5]);
    expect(heldOf(rows, { harder: "down", sharedSupply: true } as never)).toEqual([-10, -5]);
  });

  it("has nothing proved together until all ran at the list, and again nothing where that failed", () => {
    const alone = [run({ part: "core 1", offset: -20 }), run({ part: "core 2", offset: -10 })];
    expect(frontier(alone).together).toMatchObject({
      offsets: { "core 1": -20, "core 2": -10 },
      provedTogether: false,
    });
    const list = { offsets: { "core 1": -20, "core 2": -10 } };
    expect(frontier([...alone, run(list)]).together).toMatchObject({ provedTogether: true, longestS: 1800 });
    const easier = crash({ offsets: { "core 1": -15, "core 2": -10 } });
    expect(frontier([...alone, run(list), easier]).together).toMatchObject({
      provedTogether: false,
      contestedBy: [easier.id],
    });
    expect(frontier([...alone, run({ offsets: { "core 1": -20, "core 2": -5 } })]).together).toMatchObject({
      provedTogether: false,
    });
  });

  it("lets an all-core pass say nothing of a single-core load, and a crash at idle of every load", () => {
    const pass = run({ offset: -20 });
    expect(heldOf([pass])).toEqual([-20]);
    expect(heldOf([pass], down, { asked: curveLoads.single })).toEqual([null]);
    expect(heldOf([pass, crash({ offset: -15, workloadId: "idle" })])).toEqual([null]);
  });

  it("does not hold a failure near the temperature limit against less voltage, but against its own offset", () => {
    const hot = crash({ offset: -10, peakTempC: 90 });
    expect(heldOf([run({ offset: -15 }), hot])).toEqual([-15]);
    expect(heldOf([run({ offset: -10 }), hot])).toEqual([null]);
    expect(heldOf([run({ offset: 15 }), { ...hot, offset: 10 }], { harder: "up" } as never)).toEqual([null]);
  });

  it("agrees with the slow one on 300 journals drawn at random", () => {
    let [held, proved] = [0, 0];
    fc.assert(
      fc.property(
        offsetJournal,
        fc.record({ harder: fc.constantFrom("up", "down"), sharedSupply: fc.boolean() }),
        fc.constantFrom(null, null, curveLoads.single),
        (rows, meaning, asked) => {
          const question = offsetQuestion(rows, { asked });
          if (!rows.some((row) => row.part ?? row.crashPart ?? Object.keys(row.offsets ?? {})[0])) return;
          const fast = offsetFrontierOf(question, meaning as typeof down);
          const slow = slowOffsetFrontier(question, meaning as typeof down);
          expect(
            fast.rows.map(
              ({ part, hardestPassed, heldOffset, easiestCrash, contested, margin, evidence }) => ({
                ...{ part, hardestPassed, heldOffset, easiestCrash, contested },
                exposureS:
                  margin === "tight" || margin === "over"
                    ? slow.rows.find((row) => row.part === part)?.exposureS
                    : evidence.exposureS,
              }),
            ),
          ).toEqual(slow.rows);
          expect(fast.together?.provedTogether).toBe(slow.proved);
          held += fast.rows.filter(({ heldOffset }) => heldOffset !== null).length;
          proved += Number(slow.proved);
        },
      ),
      { numRuns: 300, seed: 20_310_504 },
    );
    expect(held).toBeGreaterThan(150);
    expect(proved).toBeGreaterThan(20);
  });
});
