import { describe, expect, it } from "vitest";
import {
  samplesByOffset,
  samplesRanked,
  type TriedSample,
} from "../../../server/bench/comparison/samples.ts";
import type { OffsetAxis } from "../../../server/bench/things/chip.ts";

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

describe("samplesByOffset(model, tried, axis)", () => {
  const axis: OffsetAxis = {
    ...{ name: "Undervolt", unit: "mV", step: 5, harder: "down" },
    ...{ low: null, high: null, countIsAboutMv: null },
  };
  const tried = [
    { chipId: "A", name: "A", heldLevel: 60, crashLevel: 70, parts: 0 },
    { chipId: "B", name: "B", heldLevel: 90, crashLevel: null, parts: 0 },
    { chipId: "C", name: "C", heldLevel: 0, crashLevel: 10, parts: 0 },
    { chipId: "D", name: "D", heldLevel: null, crashLevel: 20, parts: 0 },
  ];
  const { byOffset, sentence } = samplesByOffset("Heron 8", tried, axis, (level) => 0 - level);

  it("puts the hardest offset first", () => {
    expect(byOffset.samples.map(({ name, offset, place }) => [name, offset, place])).toEqual([
      ["B", -90, 1],
      ["A", -60, 2],
      ["C", 0, 3],
    ]);
  });

  it("says how many reached one, of those that show whether they do (Clopper and Pearson, 90 %)", () => {
    // The root of P(X >= 2 of 4) = 5 %, reckoned by bisection of the binomial sum: 0.0976; by symmetry 0.9024.
    const [, at60] = byOffset.reach;
    expect(at60).toMatchObject({ offset: -60, seen: 2, of: 4 });
    expect([at60!.low, at60!.high].map((share) => share.toFixed(4))).toEqual(["0.0976", "0.9024"]);
    expect(byOffset.spread).toMatchObject({ mean: -50, deviation: expect.closeTo(45.8258, 4) });
    expect(sentence).toBe("2 of our 4 reached −60 mV; of other samples 10 to 90 in 100 would.");
  });
});
