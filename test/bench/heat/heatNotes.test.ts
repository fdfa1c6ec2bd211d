import { describe, expect, it } from "vitest";
import { heatNotes } from "../../../server/bench/heat/heatNotes.ts";
import type { HeatQuestion, HeatRun } from "../../../server/bench/heat/heatReading.ts";
import type { LoadSpan } from "../../../server/bench/heat/loadSpan.ts";

const span = { fromS: 60, toS: 960 };
const load = (more: Partial<LoadSpan> = {}): LoadSpan => ({ ...span, foundFrom: "power", ...more });
const level = { meanC: 78, lowC: 77.8, highC: 78.2, windowS: 180, samples: 181, independent: 9 };

/** A quarter of an hour under load that levelled in a room of 22 °C, with nothing to remark on. */
const plain: Omit<HeatRun, "notes"> = {
  ...{ ambientC: 22, load: load(), levelledAtS: 480, level, window: { fromS: 780, toS: 960 } },
  ...{ final: { c: 78, lowC: 77.5, highC: 78.5 }, fit: null, cycle: null, change: null, tellsFromS: null },
  ...{ remainderC: 0.2, settlesAtS: 480, slowS: 170, heldBackMhz: null, powerW: null, stepC: 0.5 },
  ...{ rise: { mid: 56, low: 55.7, high: 56.3 }, resistance: null, throttled: [], gaps: [] },
  peakC: null,
};
const t = Float64Array.from({ length: 961 }, (_, second) => second);
const courseOf = (before: (second: number) => number) =>
  t.map((second) => (second <= span.fromS ? before(second) : 78));

type Seen = Readonly<{ before?: (second: number) => number; room?: (second: number) => number }> &
  HeatQuestion;

function notes(more: Partial<typeof plain> = {}, { before = () => 36, room, ...question }: Seen = {}) {
  const values = courseOf(before);
  const trace = { t, temperature: values, ambient: room && t.map(room) };
  return heatNotes({ ...plain, ...more }, { trace, sound: { t, values }, question });
}

describe("heatNotes(run, grounds)", () => {
  it("has nothing to say of a run that levelled in a room that stood", () => {
    expect(notes()).toEqual([]);
    expect(notes({}, { room: () => 22 })).toEqual([]);
  });

  it("says what cannot be told yet, and from when it can", () => {
    const [short, shorter] = [load({ toS: 60 + 270 }), load({ toS: 60 + 120 })];
    const open = { final: null, levelledAtS: null };
    expect(notes({ ...open, load: short })).toEqual([
      "Too early to say where it tends: 270 s of load are recorded, and 300 s are needed.",
    ]);
    expect(notes({ ...open, load: shorter, level: null, rise: null })).toEqual([
      "Too early to say the level and where it tends: 120 s of load are recorded, and 300 s are needed.",
    ]);
    expect(notes({ ...open, load: shorter })[0]).toMatch(/^Too early to say where it tends: 120 s/);
    expect(notes({ ...open, load: short, level: null, rise: null })[0]).toMatch(/say where it tends: 270 s/);
    expect(notes({ ...open, tellsFromS: 1210 })).toEqual([
      "The course is slow: where it tends cannot be told before minute 21 of the load.",
    ]);
  });

  it("says how much is to come, or that nothing tells when it was there", () => {
    expect(notes({ levelledAtS: null, remainderC: 2.34 })).toEqual([
      "Not levelled: about 2.3 °C are still to come.",
    ]);
    expect(notes({ levelledAtS: null, remainderC: 1 })).toEqual([
      "Not certain to have levelled: no curve fits well enough to say when.",
    ]);
    expect(notes({ final: null, levelledAtS: null })).toEqual([
      "The temperature hardly changes under this load, so no curve is fitted.",
    ]);
  });

  it("says what came between the readings and their end, and no more of the curve then", () => {
    const open = { final: null, levelledAtS: null };
    expect(notes({ ...open, change: { atS: 60 + 400, what: "fan" } })).toEqual([
      "Under load something changed at minute 7: the fan speed stepped. No end is forecast through that; the level is that of the last minutes.",
    ]);
    expect(notes({ ...open, change: { atS: 60 + 10, what: null } })[0]).toContain(
      "at minute 1: the readings leave their course.",
    );
    const [swing, ...more] = notes({
      ...open,
      cycle: { lowC: 71, highC: 76.5, periodS: 42 } as HeatRun["cycle"],
    });
    expect(swing).toContain("swings between 71.0 °C and 76.5 °C about every 42 s");
    expect(more).toEqual([]);
  });

  it("says of throttling how often and how long, or at which clock it was held", () => {
    const spells = [
      { fromS: 300, toS: 339 },
      { fromS: 500, toS: 511 },
    ];
    expect(notes({ throttled: spells.slice(0, 1) })).toEqual([
      "The chip throttled once, for 39 s in all: the temperature is that of a chip held back.",
    ]);
    expect(notes({ throttled: spells })).toEqual([
      "The chip throttled 2 times, for 50 s in all: the temperature is that of a chip held back.",
    ]);
    expect(notes({ throttled: spells, heldBackMhz: 4348.4 })).toEqual([
      "Held back at 4348 MHz: unthrottled it would level higher.",
    ]);
  });

  it("says where a run began warm: as noted, cooling before the load, or far over the room", () => {
    const warm = [expect.stringMatching(/^Warm start/)];
    expect(notes({}, { startKind: "warm" })).toEqual(warm);
    expect(notes({}, { startKind: "cold" })).toEqual([]);
    expect(notes({}, { before: (second) => 44 - second / 20 })).toEqual(warm);
    expect(notes({}, { before: (second) => 38 - second / 60 })).toEqual([]);
    expect(notes({}, { before: () => 22 + 0.61 * 56 })).toEqual(warm);
    expect(notes({}, { before: () => 22 + 0.59 * 56 })).toEqual([]);
    expect(notes({ load: load({ foundFrom: "first row" }) })).toEqual([
      "The trace begins under load: its first row is taken as the load start.",
    ]);
  });

  it("says what the room did to the figures, and what is missing without it", () => {
    const ramp = (total: number) => (second: number) => 22 + (total * Math.max(0, second - 60)) / 900;
    expect(notes({}, { room: ramp(1) })).toEqual([
      "The room moved by 0.9 °C under load; rise and fit are corrected for it.",
    ]);
    expect(notes({}, { room: ramp(0.5) })).toEqual([]);
    expect(notes({ ambientC: null, rise: null })).toEqual([
      "No room temperature is known, so no rise over it can be given.",
    ]);
  });

  it("gives the thermal resistance with its scatter, and counts gaps", () => {
    expect(notes({ resistance: { mid: 0.4401, low: 0.43, high: 0.45 } })).toEqual([
      "Thermal resistance 0.440 °C/W, by scatter between 0.430 and 0.450.",
    ]);
    expect(notes({ gaps: [{ fromS: 100, toS: 130 }] })).toEqual(["A gap of 30 s in all without readings."]);
    const two = [
      { fromS: 100, toS: 130 },
      { fromS: 200, toS: 220 },
    ];
    expect(notes({ gaps: two })).toEqual(["2 gaps of 50 s in all without readings."]);
  });

  it("says of an empty trace only that it is empty, and of an idle one that no load can be seen", () => {
    const nothing = { load: null, level: null, final: null, rise: null, levelledAtS: null, window: null };
    const none = { t: new Float64Array(0), values: new Float64Array(0) };
    const empty = { trace: { t: none.t, temperature: none.values }, sound: none, question: {} };
    expect(heatNotes({ ...plain, ...nothing }, empty)).toEqual(["The trace holds no temperature."]);
    expect(notes(nothing)).toEqual([expect.stringMatching(/no load start can be seen/)]);
  });
});
