import { describe, expect, it } from "vitest";
import { samplesRanked, type TriedSample } from "../../../server/bench/comparison/samples.ts";

const sample = (name: string, heldMhz: number | null, lowestCrashMhz: number | null): TriedSample => ({
  chipId: name,
  name,
  heldMhz,
  lowestCrashMhz,
  lowMhz: null,
  highMhz: null,
});

describe("samplesRanked(model, tried, unit)", () => {
  const seven = [
    sample("A", 4850, 4875),
    sample("B", 4800, 4825),
    sample("C", 4800, 4825),
    sample("D", 4825, 4850),
    sample("E", 4750, 4775),
    sample("F", 4775, 4800),
    sample("G", 4700, 4750),
  ];

  it("puts the furthest first, those that hold as much in one place", () => {
    const { samples } = samplesRanked("Heron 8", seven, "MHz");
    expect(samples.map(({ name, place }) => [name, place])).toEqual([
      ["A", 1],
      ["D", 2],
      ["B", 3],
      ["C", 3],
      ["F", 5],
      ["E", 6],
      ["G", 7],
    ]);
  });

  it("says how many reached a clock and with what chance another may (Clopper and Pearson, 90 %)", () => {
    const { reach, sentence } = samplesRanked("Heron 8", seven, "MHz");
    // Quantiles of the beta distribution for 4 of 7, 5 % and 95 %, reckoned with scipy: 0.2253, 0.8712.
    const at4800 = reach.find(({ clockMhz }) => clockMhz === 4800)!;
    expect(at4800).toMatchObject({ seen: 4, of: 7 });
    expect(at4800.low).toBeCloseTo(0.2253, 3);
    expect(at4800.high).toBeCloseTo(0.8712, 3);
    expect(sentence).toBe("4 of our 7 reached 4800 MHz; of other samples 23 to 87 in 100 would.");
  });

  it("counts a sample that was never tried as high neither way", () => {
    const { reach } = samplesRanked("Heron 8", [...seven.slice(0, 4), sample("H", 4600, null)], "MHz");
    expect(reach.find(({ clockMhz }) => clockMhz === 4800)).toMatchObject({ seen: 4, of: 4 });
  });

  it("says so where nothing is held in common, and has no spread of one", () => {
    expect(samplesRanked("Heron 8", [sample("A", null, 4800)], "MHz")).toMatchObject({
      samples: [],
      spread: null,
      reach: [],
      sentence: expect.stringContaining("No sample of Heron 8 holds anything"),
    });
    expect(samplesRanked("Heron 8", [sample("A", 4800, null)], "MHz").spread).toBeNull();
  });
});
