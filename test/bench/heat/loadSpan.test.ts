import { describe, expect, it } from "vitest";
import { loadSpanOf, scatterOfCourse } from "../../../server/bench/heat/loadSpan.ts";

const [idle, half, full] = [10, 55, 100];
const many = (count: number, value: number): number[] => Array.from({ length: count }, () => value);

/** A reading a second: power as given, at a temperature that tells nothing. */
const spanOf = (power: readonly number[], givenStartS: number | null = null) => {
  const t = Float64Array.from(power, (_, second) => second);
  const values = Float64Array.from(power, () => 40);
  return loadSpanOf({ t, temperature: values, power }, { t, values }, givenStartS);
};

describe("loadSpanOf(trace, sound, givenStartS)", () => {
  it("finds the load where power leaps, from its first reading to its last", () => {
    expect(spanOf([...many(20, idle), ...many(60, full), ...many(15, idle)])).toEqual({
      fromS: 20,
      toS: 79,
      foundFrom: "power",
    });
  });

  it("finds the load of something that takes less than a watt", () => {
    const [asleep, busy] = [0.1, 0.8];
    expect(spanOf([...many(20, asleep), ...many(60, busy), ...many(15, asleep)])).toEqual({
      ...{ fromS: 20, toS: 79, foundFrom: "power" },
    });
  });

  it("counts a reading halfway between idle and load as loaded, at either end", () => {
    const power = [...many(20, idle), ...many(4, half), ...many(60, full), half, ...many(15, idle)];
    expect(spanOf(power)).toMatchObject({ fromS: 20, toS: 84 });
  });

  it("lets three readings of ten dip, as a load does that starts in pulses, and not four", () => {
    const after = [...many(60, full), ...many(15, idle)];
    const pulses = (count: number) => Array.from({ length: count }, () => [full, idle]).flat();
    expect(spanOf([...many(20, idle), ...pulses(3), ...after])?.fromS).toBe(20);
    expect(spanOf([...many(20, idle), ...pulses(4), ...after])?.fromS).toBe(22);
  });

  it("takes a start that was given, up to where the load went off, else to the end", () => {
    const power = [...many(20, idle), ...many(60, full), ...many(15, idle)];
    expect(spanOf(power, 30)).toEqual({ fromS: 30, toS: 79, foundFrom: "given" });
    expect(spanOf(power, 85)).toEqual({ fromS: 85, toS: 94, foundFrom: "given" });
  });

  it("finds it in the temperature alone: from its leap to its fall, to the very seconds where readings are plain", () => {
    const course = (s: number): number =>
      s < 60
        ? 35
        : s < 400
          ? 80 - 25 * Math.exp(-(s - 60) / 90) - 20 * Math.exp(-(s - 60) / 4)
          : 35 + 20 * Math.exp(-(s - 400) / 90);
    const warmed = (from: number, to: number) => {
      const t = Float64Array.from({ length: to - from }, (_, row) => from + row);
      const values = t.map(course);
      return loadSpanOf({ t, temperature: values }, { t, values }, null);
    };
    const found = warmed(0, 500);
    expect(found?.foundFrom).toBe("temperature");
    expect(Math.abs(found!.fromS - 60)).toBeLessThanOrEqual(1);
    expect(Math.abs(found!.toS - 400)).toBeLessThanOrEqual(1);
    expect(warmed(0, 300)?.toS).toBe(299);
    expect(warmed(61, 300)).toMatchObject({ fromS: 61, foundFrom: "first row" });
  });

  it("ends with the load also where the chip cooled by a degree before, as when a fan steps up", () => {
    const endAt = (last: number): number | undefined => {
      const values = Float64Array.from([
        ...many(60, 35),
        ...many(300, 55),
        ...many(30, last),
        ...many(60, 35),
      ]);
      const t = values.map((_, second) => second);
      return loadSpanOf({ t, temperature: values }, { t, values }, null)?.toS;
    };
    expect([endAt(55), endAt(53.6)]).toEqual([389, 389]);
  });

  it("finds none where power hardly moves and the temperature stands", () => {
    expect(spanOf([...many(40, 70), ...many(40, 100)])).toBeUndefined();
    expect(spanOf([])).toBeUndefined();
  });
});

describe("how readings scatter from one to the next", () => {
  it("is what each differs by over the root of two, leaps left out", () => {
    const wobble = Array.from({ length: 100 }, (_, row) => row % 2);
    expect(scatterOfCourse(wobble)).toBeCloseTo(Math.SQRT1_2, 9);
    expect(scatterOfCourse(wobble.map((value, row) => value + (row < 50 ? 0 : 40)))).toBeCloseTo(
      Math.SQRT1_2,
      9,
    );
    expect([scatterOfCourse([]), scatterOfCourse([40]), scatterOfCourse([40, 40, 40])]).toEqual([0, 0, 0]);
  });
});
