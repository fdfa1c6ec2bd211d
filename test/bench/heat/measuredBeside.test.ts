import { describe, expect, it } from "vitest";
import { besideOf, measuredSaid, takenFrom, typedAgain } from "../../../server/bench/heat/measuredBeside.ts";
import type { MeasuredFigures, TraceFigures } from "../../../server/bench/heat/traceFigures.ts";
import type { Attempt } from "../../../server/bench/things/attempt.ts";
import { attemptFrom } from "../../../server/bench/things/attemptFrom.ts";

const typed = (fields: Partial<Attempt> = {}): Attempt => {
  const draft = { workloadId: "load", clockMhz: 4600, voltageMv: 1200, outcome: "pass", durationS: 900 };
  return { ...attemptFrom(draft as never, "2031-05-04T12:00:00.000Z"), ...fields } as Attempt;
};
const nothing: MeasuredFigures = {
  ...{ loadTempC: null, peakTempC: null, ambientC: null, powerW: null, loadVoltageMv: null },
  ...{ effectiveClockMhz: null, throttled: null },
};
const traced = (measured: Partial<MeasuredFigures>): TraceFigures => ({
  ...{ measured: { ...nothing, ...measured }, clocks: [], throttledS: 0 },
});
const taken = (attempt: Attempt, measured: Partial<MeasuredFigures>) =>
  takenFrom(attempt, { ...nothing, ...measured });

describe("letting an attempt speak as its trace measured", () => {
  it("fills what was left blank, to a tenth, and says that power and voltage were read at the chip", () => {
    expect(taken(typed(), { powerW: 112.346, loadTempC: 71.96, loadVoltageMv: 1154.2 })).toEqual({
      ...{ powerW: 112.3, powerAt: "chip", loadTempC: 72 },
      ...{ loadVoltageMv: 1154.2, voltageReadAt: "chip" },
    });
    expect(taken(typed(), {})).toEqual({});
  });

  it("leaves power and voltage that were read elsewhere: they are another reading", () => {
    const wall = typed({ powerW: 240, powerAt: "wall" });
    expect(taken(wall, { powerW: 112 })).toEqual({});
    expect(besideOf(wall, traced({ powerW: 112 }), [])).toEqual([]);
    const chip = typed({ powerW: 240, powerAt: "chip" });
    expect(taken(chip, { powerW: 112 })).toEqual({ powerW: 112, powerAt: "chip" });
    const board = typed({ loadVoltageMv: 1160, voltageReadAt: "board" });
    expect(taken(board, { loadVoltageMv: 1139 })).toEqual({});
    for (const voltageReadAt of ["chip", null] as const)
      expect(taken(typed({ loadVoltageMv: 1160, voltageReadAt }), { loadVoltageMv: 1139 })).toEqual({
        ...{ loadVoltageMv: 1139, voltageReadAt: "chip" },
      });
  });

  it("takes no peak that lies under the temperature under load", () => {
    expect(taken(typed({ loadTempC: 80 }), { peakTempC: 79.9 })).toEqual({});
    expect(taken(typed({ loadTempC: 80 }), { peakTempC: 80 })).toEqual({ peakTempC: 80 });
    expect(taken(typed({ peakTempC: 51 }), { loadTempC: 70, peakTempC: 72 })).toEqual({});
    expect(taken(typed({ peakTempC: 70 }), { loadTempC: 70, peakTempC: 72 })).toEqual({ loadTempC: 70 });
  });
});

describe("what was typed beside what was measured", () => {
  it("tells where the two disagree, and which of them counts", () => {
    const attempt = typed({ powerW: 100, powerAt: "chip" });
    const trace = traced({ powerW: 120.04 });
    expect(besideOf(attempt, trace, [])).toEqual([
      { name: "powerW", typed: 100, measured: 120, used: "typed" },
    ]);
    const edits = [{ changes: { powerW: [100, 120] as const } }];
    const edited = { ...attempt, powerW: 120 };
    expect(besideOf(edited, trace, edits)).toEqual([
      { name: "powerW", typed: 100, measured: 120, used: "measured" },
    ]);
    expect(typedAgain(edited, trace, edits)).toEqual({ powerW: 100 });
    expect(typedAgain(attempt, trace, [])).toEqual({});
  });

  it("tells nothing where they agree, or where nothing was typed", () => {
    expect(besideOf(typed({ powerW: 119, powerAt: "chip" }), traced({ powerW: 120 }), [])).toEqual([]);
    expect(besideOf(typed(), traced({ powerW: 120 }), [])).toEqual([]);
  });

  it("holds a mean clock against the one that was set, one in a hundred either way", () => {
    const apart = (effectiveClockMhz: number, fields: Partial<Attempt> = {}) =>
      besideOf(typed(fields), traced({ effectiveClockMhz }), []).filter(({ name }) => name === "clockMhz");
    expect([apart(4554), apart(4646)]).toEqual([[], []]);
    expect(apart(4553.9)).toEqual([{ name: "clockMhz", typed: 4600, measured: 4553.9, used: "typed" }]);
    expect(apart(4646.1)).toHaveLength(1);
    expect(apart(4553.9, { effectiveClockMhz: 4553.9 })).toMatchObject([{ used: "measured" }]);
    expect(apart(4300, { clockMode: "boost" })).toEqual([]);
  });
});

describe("what a tester says of it", () => {
  it("is either which of them counts or which clock is meant", () => {
    const isSaid = (said: object): boolean => measuredSaid.safeParse(said).success;
    expect([{ use: "log" }, { use: "typed" }, { clock: "Core 0 clock" }].every(isSaid)).toBe(true);
    for (const said of [{}, { use: "log", clock: "Core 0 clock" }, { use: "both" }, { clock: "" }])
      expect(isSaid(said), JSON.stringify(said)).toBe(false);
  });
});
