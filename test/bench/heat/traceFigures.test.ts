import { describe, expect, it } from "vitest";
import {
  type MeasuredFigures,
  type SetFor,
  takesPlace,
  traceFiguresOf,
} from "../../../server/bench/heat/traceFigures.ts";

const takes = (name: keyof MeasuredFigures, measured: number | null, typed: number | null): boolean =>
  takesPlace(name, measured, typed);

describe("takesPlace(name, measured, typed)", () => {
  it("lets what was typed stand where it lies as near as such readings do (common practice; the clock by our own rule)", () => {
    for (const [name, measured, near, far] of [
      ["ambientC", 22, 23, 23.1],
      ["powerW", 40, 42, 42.1],
      ["powerW", 200, 206, 206.2],
      ["loadVoltageMv", 1200, 1212, 1212.1],
      ["effectiveClockMhz", 4600, 4646, 4646.1],
    ] as const) {
      expect(takes(name, measured, near), `${name} ${near}`).toBe(false);
      expect(takes(name, measured, far), `${name} ${far}`).toBe(true);
      expect(takes(name, measured, 2 * measured - far), `${name} under`).toBe(true);
    }
  });

  it("never puts a temperature in the place of a typed one, fills what was left blank, and takes nothing for nothing", () => {
    expect([takes("loadTempC", 80, 40), takes("peakTempC", 80, 40)]).toEqual([false, false]);
    expect([takes("loadTempC", 80, null), takes("powerW", 80, null)]).toEqual([true, true]);
    expect([takes("powerW", null, 90), takes("powerW", null, null)]).toEqual([false, false]);
  });
});

describe("what a trace measured of whether its chip was held back", () => {
  const t = Array.from({ length: 601 }, (_, second) => second);
  const ranAt = (clockMhz: number, setFor: SetFor) => {
    const mhz = t.map(() => clockMhz);
    const trace = { t, temperature: t.map(() => 70), clock: mhz };
    const clocks = [{ channel: "core clock", mhz, loadPercent: null }];
    return traceFiguresOf(trace, { clocks }, null, setFor);
  };

  it("is the clock under load against the one that was set", () => {
    const { measured } = ranAt(4600, { setClockMhz: 4600, isIdle: false });
    expect(measured).toMatchObject({ effectiveClockMhz: 4600, throttled: false });
    expect(ranAt(4500, { setClockMhz: 4600, isIdle: false }).measured.throttled).toBe(true);
  });

  it("is nothing of a chip at rest, which clocks down by itself", () => {
    const { measured, clocks, throttledS } = ranAt(800, { setClockMhz: 4600, isIdle: true });
    expect(measured).toMatchObject({ effectiveClockMhz: null, throttled: null });
    expect([clocks, throttledS]).toEqual([[], 0]);
  });
});
