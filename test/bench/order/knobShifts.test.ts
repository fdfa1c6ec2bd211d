import { describe, expect, it } from "vitest";
import type { OrderedRow } from "../../../server/bench/frontier/evidence.ts";
import { knobShiftsOf } from "../../../server/bench/order/knobShifts.ts";
import type { OrderedKnob } from "../../../server/bench/order/knobs.ts";
import { plainTerms } from "../../../server/bench/order/terms.ts";
import type { KnobValue } from "../../../server/bench/things/asSet.ts";
import { aRow } from "../../support/frontierRows.ts";

const fabric = { id: "fabric", harder: "up", belongs: "setting", usual: 1800 } as const;
const timing = { id: "timing", harder: "down", belongs: "setting", usual: 40 } as const;
const bias = { id: "bias", harder: "window", belongs: "setting", usual: 100 } as const;
const line = { id: "line", harder: "none", belongs: "setting", usual: "level 2" } as const;
const terms = (...knobs: readonly OrderedKnob[]) => ({ ...plainTerms, knobs });

let hour = 0;
const run = (knobs: Readonly<Record<string, KnobValue>>, differing: Partial<OrderedRow> = {}): OrderedRow => {
  hour += 1;
  const startedAt = new Date(Date.UTC(2031, 4, 1, hour)).toISOString();
  return { ...aRow({ startedAt, id: `at-${hour}` }), knobs, ...differing };
};
const shiftsIn = (rows: readonly OrderedRow[], ...knobs: readonly OrderedKnob[]) => {
  const found = knobShiftsOf(rows, terms(...knobs));
  return found && { ...found, told: rows.map(({ id }) => found.of[id] ?? null) };
};

describe("what attempts with other knobs may teach", () => {
  it("is nothing where no knob of the setting differs", () => {
    expect(shiftsIn([run({ fabric: 1900 }), run({ fabric: 1900 })], fabric)).toBeNull();
    expect(shiftsIn([run({ fabric: 1900 }), run({ fabric: 1800 })])).toBeNull();
    expect(
      shiftsIn([run({ fabric: 1900 }), run({ fabric: 1800 })], { ...fabric, belongs: "context" }),
    ).toBeNull();
    expect(shiftsIn([], fabric)).toBeNull();
  });

  it("lies along the direction, as shares of the range tried, harder above and easier below now", () => {
    const up = shiftsIn([run({ fabric: 1800 }), run({ fabric: 2000 }), run({ fabric: 1900 })], fabric);
    expect(up?.told).toEqual([[-0.5], [0.5], null]);
    expect(up?.columns).toEqual([
      { knobId: "fabric", kind: "slope", range: 200, side: null, value: null, attempts: 2 },
    ]);
    const down = shiftsIn([run({ timing: 40 }), run({ timing: 30 }), run({})], timing);
    expect(down?.told).toEqual([null, [1], null]);
  });

  it("goes either way from the middle of a window, each side by itself", () => {
    const found = shiftsIn([run({ bias: 90 }), run({ bias: 120 }), run({ bias: 110 })], bias);
    expect(found?.columns.map(({ side, range }) => [side, range])).toEqual([
      ["above", 20],
      ["below", 10],
    ]);
    expect(found?.told).toEqual([[-0.5, 1], [0.5, 0], null]);
  });

  it("is an offset for each value whose direction nobody knows, and for what the board chose unseen", () => {
    const none = shiftsIn([run({ line: "level 4" }), run({ line: "level 6" }), run({})], line);
    expect(none?.columns.map(({ kind, value }) => [kind, value])).toEqual([
      ["offset", "level 4"],
      ["offset", "level 6"],
    ]);
    expect(none?.told).toEqual([[1, 0], [0, 1], null]);
    const auto = shiftsIn(
      [run({ fabric: "auto" }), run({ fabric: { auto: 1800 } }), run({ fabric: 2000 })],
      fabric,
    );
    expect(auto?.columns.map(({ kind, value }) => [kind, value])).toEqual([
      ["slope", null],
      ["offset", "auto"],
    ]);
    expect(auto?.told).toEqual([[0, 1], [-1, 0], null]);
  });

  it("names those that say nothing by the order alone, and leaves those out that differ in a knob left over", () => {
    const many = Array.from({ length: 9 }, (_, i): OrderedKnob => ({ ...fabric, id: `k${i}` }));
    const easier = run({ k0: 1700 });
    const harder = run({ k0: 1900 });
    const differs = Array.from({ length: 9 }, (_, i) => run({ [`k${i}`]: 1700 }));
    const rows = [easier, harder, ...differs, run({})];
    const found = shiftsIn(rows, ...many);
    expect(found?.columns).toHaveLength(8);
    expect(found?.elsewhere).toEqual([easier, ...differs.slice(0, 8)]);
    expect(found?.of[harder.id]?.[0]).toBe(0.5);
  });

  it("leaves out other states of the firmware, settings in doubt and what the cold explains", () => {
    const rows = [
      run({ fabric: 1700 }, { firmware: "F3", clockMhz: 4500 }),
      run({ fabric: 1700 }, { firmware: "F4", settingReadBack: "differs" }),
      run({ fabric: 1700 }, { firmware: "F4", outcome: "freeze", lowestTempC: -90 }),
      run({ fabric: 1700 }, { firmware: "F4" }),
      run({ fabric: 1800 }, { firmware: "F4" }),
    ];
    const found = knobShiftsOf(rows, { ...terms(fabric), coldBelowC: -70 });
    expect(found?.elsewhere).toEqual([rows[3]]);
  });
});
