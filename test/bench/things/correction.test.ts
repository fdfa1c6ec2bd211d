import { describe, expect, it } from "vitest";
import { correctedValue, namedBy } from "../../../server/bench/things/correction.ts";

describe("correctedValue(field, was, value)", () => {
  it("is the value, and of knobs and offsets by part what was said with the value laid over", () => {
    expect(correctedValue("ambientC", 12, 21)).toBe(21);
    expect(correctedValue("knobs", { trcd: 38, cl: 30 }, { cl: 32 })).toEqual({ trcd: 38, cl: 32 });
    expect(correctedValue("offsets", { "core 0": -20 }, { "core 1": -5 })).toEqual({
      ...{ "core 0": -20, "core 1": -5 },
    });
  });

  it("takes out what is null, and is null where nothing is left", () => {
    expect(correctedValue("knobs", { cl: 30, trcd: 38 }, { cl: null })).toEqual({ trcd: 38 });
    expect(correctedValue("knobs", { cl: 30 }, { cl: null })).toBeNull();
    expect(correctedValue("ambientC", 12, null)).toBeNull();
  });

  it("gives a knob to an attempt that named none, and no offset of a part to one that was not set by parts", () => {
    expect(correctedValue("knobs", null, { cl: 32 })).toEqual({ cl: 32 });
    expect(correctedValue("offsets", null, { "core 1": -5 })).toBeNull();
    expect(correctedValue("offsets", { "core 1": -5 }, null)).toEqual({ "core 1": -5 });
  });
});

describe("namedBy(value, said)", () => {
  it("is of a list what a value names, and all of it where there is no value", () => {
    expect(namedBy({ b: 1 }, { a: 1, b: 2 })).toEqual({ b: 2 });
    expect(namedBy(undefined, { a: 1 })).toEqual({ a: 1 });
    expect(namedBy({ b: 1 }, null)).toBeNull();
  });
});
