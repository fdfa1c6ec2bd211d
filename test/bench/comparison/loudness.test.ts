import { describe, expect, it } from "vitest";
import { usualAssumptions } from "../../../server/bench/comparison/assumptions.ts";
import { loudnessRows } from "../../../server/bench/comparison/loudness.ts";
import type { NoiseReading } from "../../../server/bench/noise/noiseReading.ts";

const read = (levelsDba: number[], backgroundDba: number | null, distanceM = 0.5): NoiseReading => ({
  id: `${levelsDba}`,
  createdAt: "2031-03-01T10:00:00.000Z",
  updatedAt: "2031-03-01T10:00:00.000Z",
  version: 1,
  buildId: "b",
  workloadId: "all-core",
  clockMhz: null,
  voltageMv: null,
  distanceM,
  levelsDba,
  backgroundDba,
  takenAt: "2031-03-01T10:00:00.000Z",
  note: "",
});
const rowOf = (a: NoiseReading[], b: NoiseReading[]) => loudnessRows(a, b, usualAssumptions)[0]!;

describe("loudness of two builds", () => {
  it("is judged at the distance both were read at, with the background out", () => {
    const row = rowOf([read([40, 40.4, 39.8], 28)], [read([46, 46.3, 45.9], 28)]);
    expect(row).toMatchObject({ distanceM: 0.5, unit: "dB(A)", verdict: "differs", runs: [1, 1] });
    expect(row.words).toBe("clearly louder");
  });
  it("a decibel between single readings is within what moving the meter does", () => {
    expect(rowOf([read([40, 40.4, 39.8], 28)], [read([41, 41.3, 40.9], 28)]).verdict).toBe("within-scatter");
  });
  it("different distances are put at 1 m with a caution, never judged", () => {
    const row = rowOf([read([46], 20, 0.5)], [read([40], 20, 2)]);
    expect(row).toMatchObject({ distanceM: null, verdict: "not-enough", low: null, high: null });
    expect(row.notes.join(" ")).toContain("different distances");
  });
  it("without a background nothing is judged, and it is said what to read", () => {
    const row = rowOf([read([46], null)], [read([40], 20)]);
    expect(row.verdict).toBe("not-enough");
    expect(row.notes.join(" ")).toContain("everything off");
  });
  it("an upper bound on the quieter one still tells the louder, with the far end open", () => {
    const row = rowOf([read([33, 33.1, 33.2], 30)], [read([45, 45.2, 45.1], 30)]);
    expect(row).toMatchObject({ verdict: "differs", high: null });
    expect(rowOf([read([45, 45.2, 45.1], 30)], [read([33, 33.1, 33.2], 30)])).toMatchObject({
      verdict: "differs",
      low: null,
    });
  });
  it("an upper bound on the louder one tells nothing", () => {
    expect(rowOf([read([33], 20)], [read([35], 31)])).toMatchObject({ verdict: "not-enough", low: null });
  });
  it("each build's part of the doubt is what the readings scatter by, less where it was read more often", () => {
    const row = rowOf([read([40], 20), read([40.6], 20), read([39.7], 20)], [read([46], 20)]);
    const line = row.budget.find(({ source }) => source === "reading to reading")!;
    // The sample standard deviation of 40, 40.6 and 39.7 is the root of 0.21.
    expect(line.a).toBeCloseTo(Math.sqrt(0.21 / 3), 9);
    expect(line.b).toBeCloseTo(Math.sqrt(0.21), 9);
    expect(line).toMatchObject({ counted: true, degreesOfFreedom: 2 });
  });
  it("one reading of each counts the scatter within it and the meter's place, which no other line contains", () => {
    const { budget } = rowOf([read([40, 40.6, 39.7], 20)], [read([46], 20)]);
    expect(budget.map(({ source, counted }) => [source, counted])).toEqual([
      ["within a reading", true],
      ["the meter's place", true],
      ["sound meter", true],
    ]);
    expect(budget[0]!.a).toBeCloseTo(Math.sqrt(0.21 / 3), 9);
    expect(budget[0]).toMatchObject({ b: null, degreesOfFreedom: 2 });
    // ±1 dB with even chances, so over the root of three.
    expect(budget[1]!.a).toBeCloseTo(1 / Math.sqrt(3), 9);
    expect(budget[1]!.b).toBe(budget[1]!.a);
  });
});
