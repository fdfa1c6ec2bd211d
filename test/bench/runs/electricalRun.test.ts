import { expect, it } from "vitest";
import { arrivedMv, foundWith, keptRunning, trueClockMhz } from "../../../server/bench/runs/electricalRun.ts";
import { run } from "../comparison/benchDay.ts";

const ran = (over: Partial<Parameters<typeof run>[0]>) => ({
  ...run({ id: "a", mountId: "m", ...over }),
  ...{ loadLine: null, voltageReadAt: null },
});

it("puts the ends of a value as far below as above, and none where none is known", () => {
  expect(foundWith(40, 1.5)).toEqual({ value: 40, low: 38.5, high: 41.5 });
  expect(foundWith(40, undefined)).toEqual({ value: 40, low: null, high: null });
});

it("takes the clock and the voltage that were read before those that were set, and no clock of a throttled run unread", () => {
  expect([trueClockMhz(ran({})), arrivedMv(ran({}))]).toEqual([4600, 1200]);
  expect(trueClockMhz(ran({ effectiveClockMhz: 4588, throttled: true }))).toBe(4588);
  expect(trueClockMhz(ran({ throttled: true }))).toBeNull();
  expect(arrivedMv(ran({ loadVoltageMv: 1164 }))).toBe(1164);
});

it("reads figures off runs that kept running, not off those that failed", () => {
  expect((["pass", "stopped", "freeze"] as const).map((outcome) => keptRunning(ran({ outcome })))).toEqual([
    true,
    true,
    false,
  ]);
});
