import { describe, expect, it } from "vitest";
import { heatShapeOf } from "../../../server/bench/heat/heatShape.ts";
import { evidenceRow } from "../../support/evidenceRows.ts";
import { leakyPowerW, leakySteadyC, oneLeakyBuild, widelySet } from "../../support/leakyBuild.ts";

const truth = oneLeakyBuild;
const around = { clockMhz: 4600, voltageMv: 1200, riseC: 45 };
const read = ([clockMhz, voltageMv, off = 0]: readonly number[]) => {
  const setting = { volts: voltageMv! / 1000, clockMhz: clockMhz! };
  const loadTempC = leakySteadyC(truth, setting, 22);
  const powerW = leakyPowerW(truth, setting, loadTempC) + off;
  return evidenceRow({
    ...{ clockMhz: clockMhz!, voltageMv: voltageMv!, loadTempC, powerW },
    ...{ powerAt: "chip", ambientC: 22 },
  });
};
const wide = widelySet.map(read);

describe("how the heat of a build follows clock and voltage", () => {
  it("is as its power was read at the chip, leakage in", () => {
    const { heatAt, voltages } = heatShapeOf(wide, around, 22);
    const watts = (volts: number) => leakyPowerW(truth, { volts, clockMhz: 4600 }, 70);
    expect(voltages).toBe(5);
    expect(heatAt(4600, 1250, 70) / heatAt(4600, 1200, 70)).toBeCloseTo(watts(1.25) / watts(1.2), 2);
  });

  it("strays with the voltage the more, the less its readings tell of that", () => {
    const near = [
      [4600, 1200, 1],
      [4600, 1205, -1],
      [4600, 1210, 1],
      [4600, 1200, -1],
    ].map(read);
    const [sure, unsure] = [heatShapeOf(wide, around, 22), heatShapeOf(near, around, 22)].map(
      ({ stray }) => stray,
    );
    expect(sure!.voltage).toBeLessThan(0.15);
    expect(unsure!.voltage).toBeGreaterThan(2 * sure!.voltage);
    expect(sure!.clock).toBeLessThan(0.1);
  });

  it("is what such chips usually have where power was read at one voltage or nowhere", () => {
    for (const rows of [[], wide.slice(0, 1), wide.map((row) => ({ ...row, powerW: null }))]) {
      const { heatAt, stray, voltages } = heatShapeOf(rows, around, 22);
      expect([voltages, stray.voltage > 0.3]).toEqual([0, true]);
      expect(heatAt(4600, 1200, 70) / heatAt(4600, 600, 70)).toBeCloseTo(2 ** 2.2, 9);
      expect(heatAt(4600, 1200, 70) / heatAt(2300, 1200, 40)).toBeCloseTo(2, 9);
    }
  });
});
