import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { lookedAt, type OrderedRow } from "../../../server/bench/frontier/evidence.ts";
import { frontierOf } from "../../../server/bench/frontier/frontier.ts";
import { knobOrderOf, type OrderedKnob } from "../../../server/bench/order/knobs.ts";
import { plainTerms } from "../../../server/bench/order/terms.ts";
import type { KnobValue } from "../../../server/bench/things/asSet.ts";
import { standardRule } from "../../../server/bench/things/rule.ts";
import { aRow, asking, loads } from "../../support/frontierRows.ts";
import { knobJournal, knobs, knobTerms } from "../../support/knobJournals.ts";
import { slowFrontier } from "../../support/slowFrontier.ts";
import { slowOrder } from "../../support/slowOrder.ts";

const journals = 300;
const fixed = { numRuns: journals, seed: 20_310_504 };

describe("as hard or harder, knob by knob", () => {
  const knob = (harder: OrderedKnob["harder"], usual: KnobValue = 10): OrderedKnob => ({
    id: "k",
    harder,
    belongs: "setting",
    usual,
  });
  const isAsHard = (of: OrderedKnob, value: KnobValue | undefined, than: KnobValue | undefined): boolean => {
    const order = knobOrderOf([of]);
    const group = (k: KnobValue | undefined) =>
      order.groupOf({ knobs: k === undefined ? {} : { k }, clockMhz: 4600, firmware: "1.0" });
    return order.isAsHard(group(value), group(than));
  };

  it("takes a knob for usual that nobody said anything of, whatever every object answers to", () => {
    const order = knobOrderOf([{ ...knob("up"), id: "constructor" }]);
    const set = (knobs: Record<string, number> | null) =>
      order.groupOf({ knobs, clockMhz: 4600, firmware: "1.0" }).set;
    for (const knobs of [null, {}, { k: 3 }]) expect(set(knobs)).toEqual({ constructor: 10 });
    expect(set({ constructor: 12 } as never)).toEqual({ constructor: 12 });
  });

  it("goes up, down, or away from the usual on one side alone", () => {
    expect([isAsHard(knob("up"), 12, 11), isAsHard(knob("up"), 11, 12)]).toEqual([true, false]);
    expect([isAsHard(knob("down"), 11, 12), isAsHard(knob("down"), 12, 11)]).toEqual([true, false]);
    const window = knob("window");
    expect([isAsHard(window, 14, 12), isAsHard(window, 12, 10)]).toEqual([true, true]);
    expect([isAsHard(window, 14, 8), isAsHard(window, 6, 8), isAsHard(window, 8, 6)]).toEqual([
      false,
      true,
      false,
    ]);
  });

  it("compares nothing but equals where no direction is known, and words never but with themselves", () => {
    expect([isAsHard(knob("none"), 12, 11), isAsHard(knob("none"), 11, 11)]).toEqual([false, true]);
    expect([isAsHard(knob("up"), "high", 11), isAsHard(knob("up"), "high", "high")]).toEqual([false, true]);
  });

  it("takes the usual value where an attempt says nothing", () => {
    expect([isAsHard(knob("up"), undefined, 10), isAsHard(knob("up"), undefined, 11)]).toEqual([true, false]);
  });

  it("takes two left to the board alike at one clock and firmware alone, and by what they came to where that is told", () => {
    const order = knobOrderOf([knob("up")]);
    const left = (clockMhz: number, firmware: string, auto: number | null = null) =>
      order.groupOf({ knobs: { k: auto === null ? "auto" : { auto } }, clockMhz, firmware });
    expect(order.isAsHard(left(4600, "1.0"), left(4600, "1.0"))).toBe(true);
    expect(order.isAsHard(left(4625, "1.0"), left(4600, "1.0"))).toBe(false);
    expect(order.isAsHard(left(4600, "1.1"), left(4600, "1.0"))).toBe(false);
    expect(order.isAsHard(left(4625, "1.1", 12), left(4600, "1.0", 11))).toBe(true);
  });

  it("agrees with the slow order on every pair of journals drawn at random, and is an order", () => {
    let compared = 0;
    fc.assert(
      fc.property(knobJournal, knobTerms, (rows, terms) => {
        const workloads = new Map(Object.values(loads).map((load) => [load.id, load]));
        const { trials, order } = lookedAt(rows, workloads, null, terms);
        const placed = trials.map(({ row, clockMhz, class: kind }) => ({ ...row, f: clockMhz, kind }));
        const slow = slowOrder(terms.knobs, placed);
        const agrees = trials.every((a, i) =>
          trials.every((b, j) => {
            const asHard = order.isAsHard(a.group, b.group);
            compared += Number(asHard && a.group !== b.group);
            return (
              asHard === slow.isAsHard(placed[i]!, placed[j]!) &&
              (a.group === b.group) === slow.isAlike(placed[i]!, placed[j]!)
            );
          }),
        );
        expect(agrees).toBe(true);
        const groups = [...new Set(trials.map(({ group }) => group))];
        const under = (group: (typeof groups)[number]) => groups.filter((one) => order.isAsHard(group, one));
        const carries = groups.every((a) =>
          under(a).every((b) => under(b).every((c) => order.isAsHard(a, c))),
        );
        expect(carries).toBe(true);
      }),
      fixed,
    );
    expect(compared).toBeGreaterThan(1000);
  });
});

describe("a frontier whose knobs were turned", () => {
  it("agrees with the slow frontier on 300 journals drawn at random", () => {
    let held = 0;
    fc.assert(
      fc.property(knobJournal, knobTerms, fc.constantFrom(null, loads.light), (rows, terms, asked) => {
        const question = asking(rows, { terms, asked });
        const fast = frontierOf(question).points.map(({ evidence, ...point }) => ({
          ...point,
          exposureS: evidence.exposureS,
        }));
        expect(fast).toEqual(slowFrontier(question));
        held += fast.filter((point) => point.heldMhz !== null).length;
      }),
      fixed,
    );
    expect(held).toBeGreaterThan(300);
  });

  it("says the same whatever the knobs of the context stood at", () => {
    fc.assert(
      fc.property(knobJournal, fc.nat(), (rows, turned) => {
        const terms = { ...plainTerms, knobs };
        const moved = rows.map((row, i) => ({
          ...row,
          knobs: { ...row.knobs, "power limit": (turned + i) % 7 },
        }));
        expect(frontierOf(asking(moved, { terms }))).toMatchObject(
          JSON.parse(JSON.stringify({ points: frontierOf(asking(rows, { terms })).points })),
        );
      }),
      { ...fixed, numRuns: 60 },
    );
  });

  const terms = { ...plainTerms, knobs };
  const at = (differing: object, value: object = {}): OrderedRow => ({ ...aRow(value), ...differing });

  it("holds a crash with an easier knob against a pass with a harder one, and never the other way", () => {
    const pass = (fabric: number) => at({ knobs: { fabric } });
    const crash = (fabric: number) => at({ knobs: { fabric } }, { outcome: "freeze", durationS: 60 });
    const heldOf = (...rows: OrderedRow[]) => frontierOf(asking(rows, { terms })).points[0]?.heldMhz ?? null;
    expect(heldOf(pass(1867), crash(1800))).toBeNull();
    expect(heldOf(pass(1800), crash(1867))).toBe(4600);
    expect(heldOf(pass(1867), at({ knobs: { "load-line": "steep" } }, { outcome: "freeze" }))).toBe(4600);
  });

  it("adds up clean time at harder knobs, and tells how they stood", () => {
    const rows = [at({ knobs: {} }), at({ knobs: { fabric: 1867 } }, { durationS: 600 })];
    const { points, byKnobs } = frontierOf(asking(rows, { terms }));
    expect(points[0]).toMatchObject({ heldMhz: 4600, evidence: { exposureS: 1500, passes: 2 } });
    expect(points[0]?.knobs).toMatchObject({ fabric: 1800, delay: 38 });
    expect(byKnobs.map((group) => [group.knobs.fabric, group.points[0]?.heldMhz])).toEqual([
      [1800, 4600],
      [1867, null],
    ]);
  });

  it("starts anew with a firmware until a setting was repeated", () => {
    const before = at({ firmware: "1.2" });
    const crash = at({ firmware: "1.3" }, { clockMhz: 4575, outcome: "freeze", durationS: 60 });
    expect(frontierOf(asking([before, crash])).points[0]?.heldMhz).toBe(4600);
    const again = at({ firmware: "1.3" }, { clockMhz: 4550 });
    const earlier = at({ firmware: "1.2" }, { clockMhz: 4550 });
    expect(frontierOf(asking([before, earlier, crash, again])).points[0]?.heldMhz).toBe(4550);
  });

  it("takes no pass after a reset of settings that software applied until they were confirmed", () => {
    const times = (i: number) => `2031-05-04T1${i}:00:00.000Z`;
    const reset = at({}, { clockMhz: 4650, outcome: "driver-reset", startedAt: times(0) });
    const pass = at({}, { startedAt: times(1) });
    const heldOf = (rows: OrderedRow[], appliedBy: "firmware" | "software") =>
      frontierOf(asking(rows, { terms: { ...plainTerms, appliedBy } })).points[0]?.heldMhz ?? null;
    expect([heldOf([reset, pass], "software"), heldOf([reset, pass], "firmware")]).toEqual([null, 4600]);
    expect(heldOf([reset, { ...pass, settingReadBack: "confirmed" }], "software")).toBe(4600);
    expect(heldOf([{ ...pass, settingReadBack: "differs" }], "firmware")).toBeNull();
  });

  it("counts a crash at idle and no pass there", () => {
    const idle = (outcome: "pass" | "freeze") => aRow({ workloadId: "idle", outcome, clockMhz: 4600 });
    expect(frontierOf(asking([aRow(), idle("freeze")])).points[0]?.heldMhz).toBeNull();
    expect(frontierOf(asking([idle("pass")])).points).toEqual([]);
    expect(standardRule.requires).toHaveLength(1);
  });
});
