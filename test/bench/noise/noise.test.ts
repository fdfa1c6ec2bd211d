import { describe, expect, it } from "vitest";
import {
  backgroundCorrectionDb,
  energeticMeanDba,
  energeticSumDba,
  levelAtDistanceDba,
  loudnessWords,
  noiseFindings,
  noiseUncertainty,
} from "../../../server/bench/noise/noise.ts";
import published from "../../reference/acoustics.json" with { type: "json" };

const reading = (levelsDba: number[], backgroundDba: number | null, distanceM = 1) => ({
  levelsDba,
  backgroundDba,
  distanceM,
});

describe("levels add and average as energy", () => {
  it.each(published.energeticSum)("$levels together are $total dB", ({ levels, total, within }) => {
    expect(Math.abs(energeticSumDba(levels) - total)).toBeLessThanOrEqual(within);
  });
  it.each(published.energeticMean)("$levels average to $mean dB", ({ levels, mean, within }) => {
    expect(Math.abs(energeticMeanDba(levels) - mean)).toBeLessThanOrEqual(within);
  });
  it("the energetic mean is never below the arithmetic one", () => {
    for (const levels of [[30, 50], [41.2, 41.9, 40.7], [0, 140], [35]])
      expect(energeticMeanDba(levels)).toBeGreaterThanOrEqual(
        levels.reduce((sum, level) => sum + level, 0) / levels.length - 1e-9,
      );
  });
});

describe("the background is taken out by the book", () => {
  const { correction, subtraction, distance } = published;

  it.each(correction.byDifference as [number, number][])("%d dB above it loses %d dB", (difference, k1) => {
    expect(Math.abs(backgroundCorrectionDb(difference) - k1)).toBeLessThanOrEqual(correction.within);
  });
  it("agrees with the meter manual's example one decibel above", () => {
    const { total, background, exact, byChart } = subtraction;
    const left = total - backgroundCorrectionDb(total - background);
    expect(Math.abs(left - exact)).toBeLessThan(0.001);
    expect(Math.abs(left - byChart)).toBeLessThan(0.5);
  });
  it("from exactly 6 dB on it is applied, whatever the last bit says", () => {
    for (const [level, background] of [
      [46, 40],
      [40.3, 34.3],
      [54.9, 40],
      [45, 30.1],
    ] as const) {
      const found = noiseFindings(reading([level, level, level], background));
      expect(found.correction).toBe("applied");
      expect(found.correctedDba).toBeCloseTo(level - backgroundCorrectionDb(level - background), 6);
    }
  });
  it("from exactly 15 dB on nothing is taken off, whatever the last bit says", () => {
    for (const [level, background] of [
      [55, 40],
      [45.1, 30.1],
      [55.1, 40],
    ] as const)
      expect(noiseFindings(reading([level, level, level], background))).toMatchObject({
        correction: "none",
        correctedDba: level,
      });
  });
  it("no build is quieter than the empty room: at or under the background it says so", () => {
    expect(noiseFindings(reading([40], 40)).isUnderBackground).toBe(true);
    expect(noiseFindings(reading([39], 40)).isUnderBackground).toBe(true);
    expect(noiseFindings(reading([40.1], 40)).isUnderBackground).toBe(false);
    expect(noiseFindings(reading([30], null)).isUnderBackground).toBe(false);
  });
  it("under 6 dB 1.3 dB is taken off and it is an upper bound, even below the background", () => {
    for (const [level, background] of [
      [45.9, 40],
      [40, 40],
      [39, 40],
    ] as const)
      expect(noiseFindings(reading([level], background))).toMatchObject({
        correction: "upper-bound",
        correctedDba: Math.round((level - 1.3) * 1e9) / 1e9,
      });
  });
  it("without a background there is no corrected level", () => {
    expect(noiseFindings(reading([40], null, 0.5))).toEqual({
      meanDba: 40,
      isUnderBackground: false,
      correctedDba: null,
      correction: "no-background",
      atOneMetreDba: expect.closeTo(40 - distance.doublingDb, 3),
    });
  });
  it("doubling the distance takes 6 dB, ten times 20", () => {
    expect(40 - levelAtDistanceDba(40, 1, 2)).toBeCloseTo(distance.doublingDb, 3);
    expect(40 - levelAtDistanceDba(40, 1, 10)).toBeCloseTo(distance.tenfoldDb, 9);
    expect(noiseFindings(reading([50], 20, 2)).atOneMetreDba).toBeCloseTo(50 + distance.doublingDb, 3);
  });
});

describe("how sure a level is", () => {
  it("one reading says nothing of scatter", () => {
    expect(noiseUncertainty(reading([40], 20)).readingsDb).toBeNull();
  });
  it("of several readings is their scatter over the root of how many (GUM 4.2: type A)", () => {
    const { readingsDb, degreesOfFreedom } = noiseUncertainty(reading([40, 41, 42, 45], null));
    // 40, 41, 42, 45 lie 2, 1, 0 and 3 from their mean: variance 14 / 3, of the mean 14 / 12.
    expect(readingsDb).toBeCloseTo(Math.sqrt(14 / 12), 9);
    expect(degreesOfFreedom).toBe(3);
  });
  it("taking a background out magnifies the scatter, as a small change shows", () => {
    const levels = [46, 46.4, 45.8];
    const moved = levels.map((level) => level + 0.001);
    const before = noiseFindings(reading(levels, 38)).correctedDba ?? Number.NaN;
    const after = noiseFindings(reading(moved, 38)).correctedDba ?? Number.NaN;
    expect(noiseUncertainty(reading(levels, 38)).magnification).toBeCloseTo((after - before) / 0.001, 3);
  });
  it("words of a difference turn with its sign (common practice: 10 dB is about twice as loud)", () => {
    expect(loudnessWords(10)).toBe("about twice as loud");
    expect(loudnessWords(-10)).toBe("about half as loud");
    expect(loudnessWords(0.4)).toBe("no difference an ear would notice");
    expect([1, -2.9, 3, -4.9, 5, -7.9, 8, -14.9, 15].map(loudnessWords)).toEqual([
      "louder, noticed only side by side",
      "quieter, noticed only side by side",
      "louder, just noticed on its own",
      "quieter, just noticed on its own",
      "clearly louder",
      "clearly quieter",
      "about twice as loud",
      "about half as loud",
      "far louder",
    ]);
  });
});
