import { describe, expect, it } from "vitest";
import { type AsSet, asSetWords, offsetWords } from "../../../server/bench/things/setting.ts";

const units = { clockUnit: "MT/s", offset: { unit: "mV" } } as never;
const known = (set: Partial<AsSet>): string =>
  asSetWords({ clockMhz: null, voltageMv: null, ...set } as AsSet, units);

describe("asSetWords(set, units)", () => {
  it("tells clock and voltage, and where the board chose the voltage", () => {
    expect(known({ clockMhz: 6400, voltageMv: 1350 })).toBe("6400 MT/s at 1.350 V");
    expect(known({ clockMhz: 6400 })).toBe("6400 MT/s on automatic voltage");
    expect(asSetWords({ clockMhz: 4600, voltageMv: 1200 }, undefined)).toBe("4600 MHz at 1.200 V");
    expect(known({})).toBe("no setting");
  });

  it("tells an offset, and of which part where it was about one", () => {
    expect(known({ offset: -30, clockMhz: 4800, voltageMv: 1100 })).toBe("offset −30 mV");
    expect(known({ offsets: { "core 3": -30, "core 4": 0 }, part: "core 3" })).toBe(
      "offset −30 mV of core 3",
    );
    expect(known({ offsets: { "core 3": -30, "core 4": 0 } })).toBe("offsets of 2 parts");
  });
});

describe("offsetWords(value, units)", () => {
  it("gives the sign, which nothing has none of, and the unit where it is one", () => {
    expect([15, -15, 0].map((value) => offsetWords(value, units))).toEqual(["+15 mV", "−15 mV", "0 mV"]);
    expect(offsetWords(-15, { clockUnit: "MHz", offset: { unit: "counts" } } as never)).toBe("−15");
  });
});
