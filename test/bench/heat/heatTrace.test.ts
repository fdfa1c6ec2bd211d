import { describe, expect, it } from "vitest";
import { meanOf, shareOf, soundTemperatures } from "../../../server/bench/heat/heatTrace.ts";

const soundOf = (readings: readonly number[]) => {
  const { t, values } = soundTemperatures({ t: readings.map((_, row) => row), temperature: readings });
  return { t: [...t], values: [...values] };
};

describe("meanOf(values)", () => {
  it("is that of one value too, and undefined of none", () => {
    expect(meanOf([61.5])).toBe(61.5);
    expect(meanOf([60, 61, 65])).toBe(62);
    expect(meanOf([])).toBeUndefined();
  });
});

describe("shareOf(values, share)", () => {
  it("is the value under which that share lies, the greatest at most, and undefined of none", () => {
    expect(shareOf([7], 0.5)).toBe(7);
    const ten = [10, 1, 9, 2, 8, 3, 7, 4, 6, 5];
    expect([0, 0.5, 0.9, 1].map((share) => shareOf(ten, share))).toEqual([1, 6, 10, 10]);
    expect(shareOf([], 0.5)).toBeUndefined();
  });
});

describe("the temperatures of a trace that are sound", () => {
  it("are those that a bench can have; a sensor that fails reads far outside, or nothing", () => {
    const steady = [40, 40, 40];
    for (const failed of [-127, -100, 200, 255, Number.NaN, Number.POSITIVE_INFINITY]) {
      expect(soundOf([...steady, failed, ...steady]), `${failed}`).toEqual({
        ...{ t: [0, 1, 2, 4, 5, 6], values: [...steady, ...steady] },
      });
      expect(soundOf(steady.map(() => failed)).values).toEqual([]);
    }
    for (const possible of [-99.9, 199.9]) {
      const still = steady.map(() => possible);
      expect(soundOf(still).values).toEqual(still);
    }
  });

  it("are without a single reading that leaps, and with a step that stays", () => {
    expect(soundOf([40, 40, 0, 40, 40]).values).toEqual([40, 40, 40, 40]);
    const step = [40, 40, 40, 40, 40, 60, 60, 60, 60, 60];
    expect(soundOf(step).values).toEqual(step);
  });

  it("keep a reading that both its neighbours confirm to less than two degrees, else what the nine around it say", () => {
    const burst = (beside: number) => soundOf([40, 40, 40, 50 + beside, 50, 50 + beside, 40, 40, 40]).values;
    expect(burst(1.9)).toContain(50);
    expect(burst(2)).not.toContain(50);
  });
});
