import { describe, expect, it } from "vitest";
import { loudnessesOf } from "../../../server/bench/comparison/buildLoudness.ts";
import type { NoiseReading } from "../../../server/bench/noise/noiseReading.ts";

const reading = (over: Partial<NoiseReading>): NoiseReading => ({
  id: "reading",
  createdAt: "",
  updatedAt: "",
  version: 1,
  buildId: "build",
  workloadId: null,
  clockMhz: null,
  voltageMv: null,
  distanceM: 0.5,
  levelsDba: [40],
  backgroundDba: 20,
  takenAt: "2031-05-04T13:42:00.000Z",
  note: "",
  ...over,
});

describe("loudnessesOf", () => {
  it("keeps readings of different distance and condition apart, the loudest at 1 m first", () => {
    const found = loudnessesOf([
      reading({}),
      reading({ distanceM: 1 }),
      reading({ workloadId: "load", levelsDba: [30] }),
    ]);
    expect(found.map((one) => [one.workloadId, one.distanceM, one.readings])).toEqual([
      [null, 1, 1],
      [null, 0.5, 1],
      ["load", 0.5, 1],
    ]);
    expect(found[0]!.atOneMetreDba).toBe(40);
    // Half a metre to one: 20 log 2 = 6.02 dB.
    expect(found[1]!.atOneMetreDba).toBeCloseTo(33.98, 2);
  });
  it("gives one reading the doubt of its meter and its place: 1.96 times hypot(1.5, 1) over root three", () => {
    const [one] = loudnessesOf([reading({})]);
    expect(one!.highDba - one!.levelDba).toBeCloseTo((1.96 * Math.hypot(1.5, 1)) / Math.sqrt(3), 2);
    expect(one!.levelDba - one!.lowDba!).toBeCloseTo(one!.highDba - one!.levelDba, 5);
  });
  it("has no lower end where one of the readings is only an upper bound", () => {
    for (const backgroundDba of [null, 36]) {
      const [one] = loudnessesOf([reading({}), reading({ backgroundDba })]);
      expect(one).toMatchObject({ isUpperBound: true, lowDba: null, readings: 2 });
    }
  });
  it("is nothing where nothing was read", () => {
    expect(loudnessesOf([])).toEqual([]);
  });
});
