import { describe, expect, it } from "vitest";
import { conversionOf, knownChannels, unitKept, unitSpelled } from "../../../server/bench/logs/channel.ts";

const kept = (channel: string, unit: string, value: number): number => {
  const conversion = conversionOf(channel, unit);
  if (conversion === undefined) throw new Error(`${unit} does not fit`);
  return (value + conversion.shift) * conversion.factor;
};

describe("conversionOf(channel, unit)", () => {
  it("turns readings into the unit that is kept: the fixed points of the scales and the prefixes of the SI", () => {
    // Ice and steam on the scales of Fahrenheit and Kelvin, and 1 min, 1 h, 1 d in seconds: SI brochure, 9th edition, 2.3 and table 8.
    expect(kept("temperature", "°F", 32)).toBeCloseTo(0, 12);
    expect(kept("supply", "fahrenheit", 212)).toBeCloseTo(100, 12);
    expect(kept("ambient", "kelvin", 273.15)).toBeCloseTo(0, 12);
    for (const [channel, unit, value, want] of [
      ["time", "min", 1, 60],
      ["time", "hours", 1, 3600],
      ["time", "days", 1, 86_400],
      ["time", "msec", 1500, 1.5],
      ["time", "μs", 2e6, 2],
      ["time", "nsec", 2e9, 2],
      ["voltage", "Volts", 1.25, 1250],
      ["voltage", "uV", 1e6, 1000],
      ["current", "mA", 2500, 2.5],
      ["power", "mW", 2500, 2.5],
      ["power", "kW", 0.4, 400],
      ["clock", "GHz", 4.6, 4600],
      ["clock", "Hz", 4.6e9, 4600],
      ["fan", "1/min", 900, 900],
      ["load", "percent", 97, 97],
    ] as const)
      expect(kept(channel, unit, value), unit).toBeCloseTo(want, 9);
  });

  it("knows no unit that belongs to another channel, that nobody uses, or that every object answers to", () => {
    for (const [channel, unit] of [
      ["power", "°C"],
      ["temperature", "V"],
      ["clock", "furlong"],
      ["time", "toString"],
      ["fan", "constructor"],
    ] as const)
      expect(conversionOf(channel, unit), unit).toBeUndefined();
    expect(unitSpelled("constructor")).toBeUndefined();
  });

  it("tells a milliwatt from a megawatt by its capital, which no chip takes", () => {
    expect([unitSpelled("mW"), unitSpelled("MW")]).toEqual(["mW", undefined]);
    expect(conversionOf("power", "MW")).toBeUndefined();
  });

  it("takes a column without a unit as in the one that is kept, and leaves the tester's own as typed", () => {
    for (const channel of knownChannels)
      expect(conversionOf(channel, ""), channel).toEqual({ to: unitKept(channel, ""), factor: 1, shift: 0 });
    expect(conversionOf("throttle", "yes/no")).toEqual({ to: "", factor: 1, shift: 0 });
    expect(conversionOf("flow", "l/h")).toEqual({ to: "l/h", factor: 1, shift: 0 });
    expect(unitKept("flow", "l/h")).toBe("l/h");
  });
});
