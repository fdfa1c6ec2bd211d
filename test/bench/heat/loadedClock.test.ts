import { describe, expect, it } from "vitest";
import {
  clockAgreed,
  clocksDisagree,
  isOwnClock,
  loadedClocksOf,
} from "../../../server/bench/heat/loadedClock.ts";

const t = Array.from({ length: 300 }, (_, s) => s);
const loaded = { fromS: 60, toS: 299 };
const column = (
  channel: string,
  mhzAt: (s: number) => number,
  loadAt: ((s: number) => number) | null = null,
) => ({
  channel,
  mhz: t.map(mhzAt),
  loadPercent: loadAt && t.map(loadAt),
});

describe("loadedClocksOf", () => {
  it("is the mean under load, without the idle before it and the ramp after it", () => {
    const ramped = column("clock", (s) => (s < 60 ? 800 : s < 64 ? 2000 : 4600));
    expect(loadedClocksOf(t, [ramped], loaded)).toEqual([{ channel: "clock", mhz: 4600 }]);
  });

  it("counts a core only while it was busy, and not at all where it idled", () => {
    const single = column(
      "Core 0 clock",
      (s) => (s % 2 ? 5000 : 900),
      (s) => (s % 2 ? 100 : 3),
    );
    const idle = column(
      "Core 1 clock",
      () => 800,
      () => 2,
    );
    expect(loadedClocksOf(t, [single, idle], loaded)).toEqual([{ channel: "Core 0 clock", mhz: 5000 }]);
  });

  it("says nothing of a core that was busy for less than a tenth of the load, or for fewer than five readings", () => {
    const busyFor = (seconds: number) =>
      column(
        `Core ${seconds} clock`,
        () => 5000,
        (s) => (s >= 100 && s < 100 + seconds ? 100 : 0),
      );
    const told = loadedClocksOf(t, [busyFor(23), busyFor(24)], loaded);
    expect(told).toEqual([{ channel: "Core 24 clock", mhz: 5000 }]);
    const short = column("clock", (s) => (s < 280 ? Number.NaN : s % 2 ? Number.NaN : 4600));
    expect(loadedClocksOf(t, [short], { fromS: 281, toS: 289 })).toEqual([]);
    expect(loadedClocksOf(t, [short], { fromS: 280, toS: 289 })).toEqual([{ channel: "clock", mhz: 4600 }]);
  });

  it("takes no missing or zero reading for a clock", () => {
    const holes = column("clock", (s) => (s % 3 === 0 ? Number.NaN : s % 3 === 1 ? 0 : 4700));
    expect(loadedClocksOf(t, [holes], loaded)).toEqual([{ channel: "clock", mhz: 4700 }]);
    expect(loadedClocksOf(t, [column("clock", () => Number.NaN)], loaded)).toEqual([]);
  });
});

describe("clockAgreed", () => {
  it("is the mean of channels within 2 %, and null where they lie further apart", () => {
    expect(
      clockAgreed([
        { channel: "a", mhz: 4610 },
        { channel: "b", mhz: 4590 },
      ]),
    ).toBe(4600);
    const apart = [
      { channel: "a", mhz: 4600 },
      { channel: "b", mhz: 4500 },
    ];
    expect([clockAgreed(apart), clocksDisagree(apart), clockAgreed([])]).toEqual([null, true, null]);
  });
});

describe("isOwnClock", () => {
  it("leaves out the clocks of other parts and bounds, and takes none for a memory", () => {
    expect(isOwnClock("Core 3 clock", "cpu")).toBe(true);
    for (const name of ["Memory clock", "Bus clock", "Ring clock", "Clock limit", "Fabric"])
      expect([name, isOwnClock(name, "cpu")]).toEqual([name, false]);
    expect(isOwnClock("clock", "memory")).toBe(false);
  });
});
