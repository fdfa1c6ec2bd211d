import { describe, expect, it } from "vitest";
import type { ClockPoint } from "../../../server/bench/frontier/frontierPoint.ts";
import { stepDownFrom } from "../../../server/bench/next/plainLower.ts";
import { testChip } from "../../support/evidenceRows.ts";

const chip = testChip({ voltageStepMv: 25 });
const held = (clockMhz: number, heldMv: number): ClockPoint => ({
  ...{ clockMhz, heldMv, lowestPassedMv: heldMv, highestCrashMv: null },
});
const crashed = (clockMhz: number, highestCrashMv: number): ClockPoint => ({
  ...{ clockMhz, heldMv: null, lowestPassedMv: null, highestCrashMv },
});

describe("one voltage step down, where nothing is fitted", () => {
  it("goes below the lowest that held the clock or a higher one", () => {
    expect(stepDownFrom([held(4500, 1150), held(4600, 1125), held(4400, 1000)], 4500, chip)).toMatchObject({
      ...{ clockMhz: 4500, voltageMv: 1100, purpose: "screen" },
    });
    expect(stepDownFrom([held(4400, 1000)], 4500, chip)).toBeNull();
  });

  it("stays where one step less crashed at that clock or a lower one, and goes on where only a higher one did", () => {
    for (const clockMhz of [4500, 4400])
      for (const crashMv of [1125, 1140])
        expect(stepDownFrom([held(4500, 1150), crashed(clockMhz, crashMv)], 4500, chip)).toMatchObject({
          ...{ voltageMv: 1150, purpose: "prove" },
        });
    for (const other of [crashed(4525, 1125), crashed(4500, 1124)])
      expect(stepDownFrom([held(4500, 1150), other], 4500, chip)).toMatchObject({ voltageMv: 1125 });
  });
});
