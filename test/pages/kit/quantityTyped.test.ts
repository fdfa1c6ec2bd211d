import { describe, expect, it } from "vitest";
import {
  clockTyped,
  durationTyped,
  temperatureTyped,
  voltageTyped,
} from "../../../server/pages/kit/quantityTyped.ts";

describe("quantities as people write them", () => {
  it("reads volts and millivolts alike", () => {
    for (const typed of ["1.2", "1,2", "1.2 V", "1.2v", "1200", "1200 mV", " 1 200\u202fmV ", "1.200"])
      expect(voltageTyped(typed), typed).toBe(1200);
    expect(voltageTyped("1.33125")).toBe(1331.25);
    expect(voltageTyped("0.1")).toBe(100);
  });

  it("reads clocks in MHz, or in GHz where that is written", () => {
    for (const typed of ["4650", "4650 MHz", "4.65 GHz", "4,65ghz", "4 650"])
      expect(clockTyped(typed), typed).toBe(4650);
  });

  it("reads minutes, seconds, hours and clock times", () => {
    const cases = {
      "20": 1200,
      "1,5": 90,
      "90 s": 90,
      "3:24": 204,
      "1:05:00": 3900,
      "1 h 5 min": 3900,
      "12 h": 43_200,
      "0": 0,
    };
    for (const [typed, seconds] of Object.entries(cases)) expect(durationTyped(typed), typed).toBe(seconds);
  });

  // Freezing and boiling point of water, and where both scales meet: the definition of the scales, from memory.
  it("reads Fahrenheit where it is written", () => {
    expect(temperatureTyped("32 °F")).toBe(0);
    expect(temperatureTyped("212F")).toBe(100);
    expect(temperatureTyped("−40 °F")).toBe(-40);
    expect(temperatureTyped("83,5 °C")).toBe(83.5);
  });

  it("takes a blank for nothing and other words for no number", () => {
    for (const read of [clockTyped, voltageTyped, durationTyped, temperatureTyped]) {
      expect(read("  ")).toBeNull();
      expect(read(undefined)).toBeNull();
      for (const typed of ["abc", "1.337,5", "12 kg", "-", "1 2 3 x", "constructor"])
        expect(read(typed), typed).toBeNaN();
    }
  });
});
