import { describe, expect, it } from "vitest";
import { atEqualNoise, fanSpeedDuring, heatAndNoiseOf } from "../../../server/bench/comparison/equalNoise.ts";
import type { NoiseReading } from "../../../server/bench/noise/noiseReading.ts";
import { run } from "./benchDay.ts";

const noise = (level: number, takenAt: string, distanceM = 0.5): NoiseReading => ({
  id: takenAt,
  createdAt: takenAt,
  updatedAt: takenAt,
  version: 1,
  buildId: "b",
  workloadId: "all-core",
  clockMhz: 4600,
  voltageMv: 1200,
  distanceM,
  levelsDba: [level],
  backgroundDba: 20,
  takenAt,
  note: "",
});
const at = (hour: number) => `2031-03-01T${hour}:00:00.000Z`;
const during = (hour: number) => `2031-03-01T${hour}:10:00.000Z`;

const speeds = (rises: readonly (readonly [rpm: number, riseC: number, level: number])[]) => {
  const runs = rises.map(([fanRpm, riseC], n) =>
    run({ id: `${n}`, mountId: "m", startedAt: at(10 + n), fanRpm, ambientC: 20, loadTempC: 20 + riseC }),
  );
  const readings = rises.map(([, , level], n) => noise(level, during(10 + n)));
  return heatAndNoiseOf(runs, readings, fanSpeedDuring(runs));
};

describe("temperature at equal loudness", () => {
  it("reads each build between its own fan speeds, and only over the loudness both cover", () => {
    const a = speeds([
      [800, 70, 38],
      [1200, 60, 44],
      [1600, 55, 50],
    ]);
    const b = speeds([
      [900, 64, 41],
      [1500, 54, 47],
    ]);
    expect(a.map((point) => point.fanRpm)).toEqual([800, 1200, 1600]);
    const equal = atEqualNoise(a, b)!;
    expect(equal.points.map((point) => point.noiseDba)).toEqual([41, 44, 47]);
    expect(equal.points.map((point) => point.differenceC)).toEqual([-1, -1, -3.5]);
    expect(equal.meanDifferenceC).toBeCloseTo(-1.833, 3);
  });
  it("goes by what is surely so loud where two readings of each build are and overlap, else by everything", () => {
    const bounded = (points: ReturnType<typeof speeds>) =>
      points.map((point, n) => (n === 0 ? { ...point, isUpperBound: true } : point));
    const of = (quiet: number, levels: readonly number[]) =>
      bounded(
        speeds([
          [700, 80, quiet],
          ...levels.map((level, n) => [1000 + 500 * n, 60 - 10 * n, level] as const),
        ]),
      );
    const a = of(36, [42, 48]);
    expect(atEqualNoise(a, of(36, [44, 50]))!.points.map(({ noiseDba }) => noiseDba)).toEqual([44, 48]);
    expect(atEqualNoise(a, of(36, [44, 50]))!.bounds).toEqual([false, false]);
    expect(atEqualNoise(a, of(36, [49, 55]))!.bounds).toEqual([true, true]);
  });
  it("is not answered from one fan speed, nor across distances", () => {
    const a = speeds([[800, 70, 38]]);
    expect(atEqualNoise(a, a)).toBeUndefined();
    const far = a.map((point) => ({ ...point, distanceM: 1 }));
    expect(atEqualNoise([...a, ...a], [...far, ...far])).toBeUndefined();
  });
  it("where the loudness does not overlap there is no difference", () => {
    const quiet = speeds([
      [800, 70, 38],
      [900, 66, 40],
    ]);
    const loud = speeds([
      [1500, 60, 50],
      [1700, 58, 53],
    ]);
    expect(atEqualNoise(quiet, loud)).toMatchObject({ points: [], meanDifferenceC: null });
  });
  it("a reading far from any run has no fan speed", () => {
    const runs = [run({ id: "1", mountId: "m", startedAt: at(10), fanRpm: 800 })];
    expect(fanSpeedDuring(runs)(noise(40, during(12)))).toBeNull();
    expect(fanSpeedDuring(runs)(noise(40, during(10)))).toBe(800);
  });
});

describe("the fan speed of a noise reading", () => {
  const ran = (startedAt: string, fanRpm: number | null) =>
    run({ id: startedAt, mountId: "m", startedAt, durationS: 900, fanRpm });
  const rpmAt = (clock: string, runs = [ran(at(10), 900)], over: Partial<NoiseReading> = {}) =>
    fanSpeedDuring(runs)({ ...noise(40, `2031-03-01T${clock}.000Z`), ...over });

  it("is that of the run it was taken in, or up to a quarter of an hour before or after", () => {
    expect(["10:00:00", "10:15:00", "09:45:00", "10:30:00"].map((clock) => rpmAt(clock))).toEqual([
      900, 900, 900, 900,
    ]);
    expect(["09:44:59", "10:30:01"].map((clock) => rpmAt(clock))).toEqual([null, null]);
  });

  it("is that of the nearest run of the same load and setting whose fan was read", () => {
    const runs = [ran(at(10), 900), ran("2031-03-01T10:20:00.000Z", 1400), ran(during(10), null)];
    expect([rpmAt("10:17:00", runs), rpmAt("10:18:00", runs)]).toEqual([900, 1400]);
    expect(rpmAt("10:05:00", runs, { workloadId: "idle" })).toBeNull();
    expect(rpmAt("10:05:00", runs, { clockMhz: 4700 })).toBeNull();
    expect(rpmAt("10:05:00", runs, { workloadId: null, clockMhz: null, voltageMv: null })).toBe(900);
  });

  it("puts readings of one speed together, which are at most so loud where one of them is", () => {
    const runs = [ran(at(10), 1000)];
    const readings = [noise(40, at(10)), { ...noise(42, during(10)), backgroundDba: null }];
    const [point, ...others] = heatAndNoiseOf(runs, readings, fanSpeedDuring(runs));
    expect(point).toMatchObject({ fanRpm: 1000, noiseDba: 41, readings: 2, runs: 1, isUpperBound: true });
    expect(others).toEqual([]);
    const [sure] = heatAndNoiseOf(runs, readings.slice(0, 1), fanSpeedDuring(runs));
    expect(sure).toMatchObject({ isUpperBound: false });
  });
});
