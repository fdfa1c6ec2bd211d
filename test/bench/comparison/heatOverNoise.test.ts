import { describe, expect, it } from "vitest";
import { usualAssumptions } from "../../../server/bench/comparison/assumptions.ts";
import {
  equalNoiseOf,
  equalNoiseWords,
  heatCurvesOf,
} from "../../../server/bench/comparison/heatOverNoise.ts";
import type { NoiseReading } from "../../../server/bench/noise/noiseReading.ts";
import { run } from "./benchDay.ts";

const at = (hour: number, minute: number) => `2031-03-01T${hour}:${String(minute).padStart(2, "0")}:00.000Z`;

/** One setting at three fan speeds, each ten degrees and six decibels apart. */
function sweep(base: number, over: Partial<NoiseReading> = {}) {
  const speeds = [800, 1200, 1600];
  const runs = speeds.map((fanRpm, n) =>
    run({ id: `${n}`, mountId: "m", startedAt: at(10 + n, 0), fanRpm, loadTempC: 22 + base - 10 * n }),
  );
  const readings = speeds.map(
    (_, n): NoiseReading => ({
      id: `${n}`,
      createdAt: "",
      updatedAt: "",
      version: 1,
      buildId: "build",
      workloadId: "all-core",
      clockMhz: 4600,
      voltageMv: 1200,
      distanceM: 0.5,
      levelsDba: [34 + 6 * n],
      backgroundDba: 15,
      takenAt: at(10 + n, 14),
      note: "",
      ...over,
    }),
  );
  return { runs, readings };
}

describe("heatCurvesOf", () => {
  it("gives one curve a setting and distance, quietest first", () => {
    const [curve, ...others] = heatCurvesOf(sweep(60));
    expect(others).toEqual([]);
    expect(curve!.points.map(({ noiseDba, riseC }) => [noiseDba, riseC])).toEqual([
      [34, 60],
      [40, 50],
      [46, 40],
    ]);
  });
  it("has none where the setting was not named, one speed only was read, or no run was near", () => {
    expect(heatCurvesOf(sweep(60, { clockMhz: null }))).toEqual([]);
    const { runs, readings } = sweep(60);
    expect(heatCurvesOf({ runs, readings: readings.slice(0, 1) })).toEqual([]);
    expect(heatCurvesOf({ runs: [], readings })).toEqual([]);
  });
  it("ignores runs at other settings, however near in time", () => {
    const { runs, readings } = sweep(60);
    const elsewhere = runs.map((one) => ({ ...one, id: `x${one.id}`, clockMhz: 4700, loadTempC: 99 }));
    expect(heatCurvesOf({ runs: [...elsewhere, ...runs], readings })).toEqual(
      heatCurvesOf({ runs, readings }),
    );
  });
});

const alone = { elsewhere: [], assumptions: usualAssumptions };

describe("equalNoiseOf", () => {
  it("sets builds beside one another at the same setting and distance only", () => {
    const other = { id: "b", name: "Cupboard", ...sweep(57) };
    const found = equalNoiseOf(sweep(60), [other], alone)!;
    expect(found.others[0]!.at.meanDifferenceC).toBe(-3);
    expect(equalNoiseWords("Frame", "Cupboard", found.others[0]!)).toBe(
      "Equally loud, from 34 to 46 dB(A), Cupboard runs 3.0 °C cooler on average; how far mounts scatter is not known, so it is not judged.",
    );
    const far = { ...other, ...sweep(57, { distanceM: 1 }) };
    expect(equalNoiseOf(sweep(60), [far], alone)!.others).toEqual([]);
    expect(equalNoiseOf({ runs: [], readings: [] }, [other], alone)).toBeUndefined();
  });
  it("says that builds never equally loud cannot be compared so", () => {
    const loud = sweep(57);
    const louder = {
      ...loud,
      readings: loud.readings.map((one) => ({ ...one, levelsDba: [60 + one.levelsDba[0]!] })),
    };
    const found = equalNoiseOf(sweep(60), [{ id: "b", name: "Cupboard", ...louder }], alone)!;
    expect(equalNoiseWords("Frame", "Cupboard", found.others[0]!)).toContain("never equally loud");
  });
});
