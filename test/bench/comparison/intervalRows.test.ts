import { describe, expect, it } from "vitest";
import { usualAssumptions } from "../../../server/bench/comparison/assumptions.ts";
import { fittedLimitFrom } from "../../../server/bench/comparison/fittedLimit.ts";
import { differenceRows } from "../../../server/bench/comparison/intervalRows.ts";
import { sameSettingRows } from "../../../server/bench/comparison/sameSetting.ts";
import { sameVoltageRows } from "../../../server/bench/comparison/sameVoltage.ts";
import { build, run } from "./benchDay.ts";

const mounted = (name: string, temps: readonly number[]) =>
  build(
    name,
    temps.flatMap((loadTempC, n) =>
      [4500, 4600].map((clockMhz) =>
        run({ id: `${name}${n}${clockMhz}`, mountId: `${name}${n}`, loadTempC, clockMhz }),
      ),
    ),
  );
const point = (heldMhz: number, lowestCrashMhz: number | null) => ({
  voltageMv: 1250,
  highestPassedMhz: heldMhz,
  heldMhz,
  lowestCrashMhz,
});
const compared = {
  sameVoltage: sameVoltageRows({
    a: [point(4800, 4825)],
    b: [point(4750, 4775)],
    assumptions: usualAssumptions,
  }),
  sameSetting: sameSettingRows({
    a: mounted("Frame", [78.2, 79.1, 77.6]),
    b: mounted("Cupboard", [84.6, 85.3, 83.9]),
    others: [],
    idleWorkloadIds: new Set(),
    assumptions: usualAssumptions,
  }),
  noise: [],
  score: [],
};

describe("the differences that tell a comparison", () => {
  it("shows each measure once, the clock first, words with both ends", () => {
    const rows = differenceRows(compared, () => "All-core");
    expect(rows.map((row) => [row.label, row.words, row.verdict, row.decided])).toEqual([
      ["Clock at 1.250 V", "−50 MHz (−75 to −25)", "observed only", false],
      ["Loaded", expect.stringMatching(/^\+6\.3 °C \(4\.\d to 8\.\d\)$/), "differs", true],
    ]);
    expect(rows[1]!.setting).toBe("All-core, 4500 MHz, 1.200 V");
  });
});

describe("fittedLimitFrom(clocks, weights)", () => {
  const clocks = Float64Array.from({ length: 1001 }, (_, k) => 4700 + k / 10);
  it("takes the middle and the 95 % ends of the draws", () => {
    const found = fittedLimitFrom(clocks, new Float64Array(1001).fill(1), false)!;
    expect(found.clockMhz).toBeCloseTo(4750, 6);
    expect(found.lowMhz).toBeCloseTo(4702.5, 1);
    expect(found.highMhz).toBeCloseTo(4797.5, 1);
  });
  it("with passes only there is no upper end, without draws no limit", () => {
    expect(fittedLimitFrom(clocks, new Float64Array(1001).fill(1), true)!.highMhz).toBeNull();
    expect(fittedLimitFrom(new Float64Array(), new Float64Array(), false)).toBeUndefined();
  });
});
