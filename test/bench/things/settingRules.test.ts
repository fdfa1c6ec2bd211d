import { describe, expect, it } from "vitest";
import type { Chip } from "../../../server/bench/things/chip.ts";
import { knobFrom } from "../../../server/bench/things/knob.ts";
import { ceilingPassed, settingRefusals } from "../../../server/bench/things/settingRules.ts";
import { testChip } from "../../support/evidenceRows.ts";

type AsRead = Parameters<typeof settingRefusals>[0];
const unset: AsRead = {
  ...{ clockMhz: null, voltageMv: null, offset: null, offsets: null },
  ...{ part: null, crashPart: null, knobs: null },
};
const refused = (set: Partial<AsRead>, chip: Chip) => settingRefusals({ ...unset, ...set }, chip);
const plain = testChip();
const axis = { name: "curve", unit: "mV", step: 5, harder: "down", low: -50, high: 20, countIsAboutMv: null };
const parts = ["core 1", "core 2"].map((name) => ({ name, kernel: null }));
const byOffset = testChip({ axis: "offset", offset: axis as Chip["offset"], parts });

describe("what a chip set by clock and voltage cannot be set to", () => {
  it("is nothing of a clock at a voltage, nor of a voltage left to the board where the chip has that", () => {
    expect(refused({ clockMhz: 4600, voltageMv: 1200 }, plain)).toEqual({});
    expect(refused({ clockMhz: 4600 }, testChip({ automaticVoltage: true }))).toEqual({});
    expect(refused({}, plain)).toEqual({
      clockMhz: "The clock must be a number in MHz.",
      voltageMv: "The voltage must be a number in mV.",
    });
  });

  it("is an offset, of the whole or of parts, each said beside its own field", () => {
    const set = { clockMhz: 4600, voltageMv: 1200 };
    const words = expect.stringContaining("Heron sample is set by clock and voltage.");
    expect(refused({ ...set, offset: 0 }, plain)).toEqual({ offset: words });
    expect(refused({ ...set, offsets: { "core 1": -10 } }, plain)).toEqual({ offsets: words });
  });

  it("is a clock between those that exist, and the two nearest are named", () => {
    const listed = testChip({ clockGrid: [5600, 6000, 6200, 6400] });
    expect(refused({ clockMhz: 6000, voltageMv: 1200 }, listed)).toEqual({});
    expect(refused({ clockMhz: 6150, voltageMv: 1200 }, listed)).toEqual({
      clockMhz: "There is no 6150 MHz on this chip's grid; near it: 6200 and 6000.",
    });
  });
});

describe("what a chip set by offset cannot be set to", () => {
  it("is no offset at all, and one beyond what its firmware offers", () => {
    expect(refused({ clockMhz: 4600, voltageMv: 1200 }, byOffset).offset).toContain(
      "Say the offset of Heron sample in mV; 0 where it was left as it is.",
    );
    expect([refused({ offset: -50 }, byOffset), refused({ offset: 20 }, byOffset)]).toEqual([{}, {}]);
    expect(refused({ offset: -51 }, byOffset)).toEqual({
      offset: "The offset of Heron sample goes from −50 mV to +20 mV, not to −51 mV.",
    });
    expect(refused({ offsets: { "core 1": 0, "core 2": 21 } }, byOffset).offsets).toContain("not to +21 mV");
  });

  it("is of a part that it has, wherever a part is named", () => {
    const set = { offsets: { "core 1": -10 } };
    expect(refused({ ...set, part: "core 1", crashPart: "core 2" }, byOffset)).toEqual({});
    const words = "This chip has no part called core 9; its parts are core 1, core 2.";
    expect(refused({ ...set, part: "core 9" }, byOffset)).toEqual({ part: words });
    expect(refused({ ...set, crashPart: "core 9" }, byOffset)).toEqual({ crashPart: words });
    expect(refused({ offsets: { "core 9": -10 } }, byOffset)).toEqual({ offsets: words });
  });
});

describe("a knob of a chip", () => {
  const knob = { step: 1, harder: "up", belongs: "setting", usual: 100 } as const;
  const chip = testChip({
    knobs: [
      knobFrom({ ...knob, id: "limit", name: "Power limit", unit: "%", ceiling: 115 }),
      knobFrom({ ...knob, id: "line", name: "Load-line", step: null, usual: null, choices: ["3", "4"] }),
    ],
  });
  const set = (knobs: AsRead["knobs"]) => refused({ clockMhz: 4600, voltageMv: 1200, knobs }, chip);

  it("takes a number, one of its choices or auto, and nothing else", () => {
    expect([set({ limit: 105, line: "4" }), set({ limit: "auto", line: { auto: "3" } })]).toEqual([{}, {}]);
    expect(set({ limit: "high" })).toEqual({ "knobs.limit": "Power limit must be a number in %, or auto." });
    expect(set({ line: "5" })).toEqual({ "knobs.line": "Load-line is one of: 3, 4, auto." });
    expect(set({ other: 1 })).toEqual({
      "knobs.other": "This chip has no knob called other; add it on the chip's page first.",
    });
  });

  it("lies above its ceiling where it was set there or came to it, and not at it", () => {
    const over = (knobs: AsRead["knobs"], voltageMv: number | null = 1200) =>
      ceilingPassed({ voltageMv, knobs }, chip);
    for (const knobs of [null, { limit: 115 }, { limit: "auto" }, { limit: { auto: 115 } }, { line: "4" }])
      expect(over(knobs), JSON.stringify(knobs)).toBeNull();
    const details = { knobs: ["limit"] };
    expect(over({ limit: 116 })).toEqual({
      ...{ words: "Power limit at 116 % lies above its ceiling of 115 %", details },
    });
    expect(over({ limit: { auto: 120 } })?.words).toBe(
      "Power limit at auto (120) % lies above its ceiling of 115 %",
    );
    expect([over(null, 1450), over(null, null)]).toEqual([null, null]);
    expect(over({ limit: 116 }, 1451)).toEqual({
      words:
        "1.451 V lies above the ceiling of 1.45 V set for this chip; Power limit at 116 % lies above its ceiling of 115 %",
      details: { ceilingMv: 1450, ...details },
    });
  });
});
