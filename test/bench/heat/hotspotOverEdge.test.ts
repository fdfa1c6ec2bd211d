import { describe, expect, it } from "vitest";
import { hotspotInWords, hotspotOverEdge } from "../../../server/bench/heat/hotspotOverEdge.ts";
import { seededRandom } from "../../../server/numerics/seededRandom.ts";
import { evidenceRow } from "../../support/evidenceRows.ts";

const run = (overC: number, more: object = {}) =>
  evidenceRow({ loadTempC: 66, temps: { hotspot: 66 + overC }, durationS: 1200, ...more });
const runs = (...over: readonly number[]) => over.map((overC) => run(overC));

describe("the hotspot over the main place", () => {
  it("is told from the runs read last, and its growth once there are three at either end", () => {
    expect(hotspotOverEdge(runs(13, 13))).toEqual({
      ...{ place: "hotspot", nowC: 13, grewC: null, grew: false, runs: 2 },
    });
    const grown = hotspotOverEdge(runs(13, 14, 13, 15, 19, 20, 19));
    expect(grown?.grewC).toBeCloseTo(19.33 - 13.33, 1);
    expect(grown).toMatchObject({ grew: true, runs: 7 });
    expect(hotspotInWords(grown!, null)).toBe(
      "The hotspot stands 19 °C above the main place: it grew 6 degrees since this mount, paste or contact. Look at both before going further.",
    );
    expect(hotspotInWords(hotspotOverEdge(runs(13, 13, 13, 14, 13, 13))!, "edge")).toBe(
      "The hotspot stands 13 °C above the edge, as when this mount was new.",
    );
  });

  it("is worth a look from five degrees on", () => {
    expect(hotspotOverEdge(runs(13, 13, 13, 18, 18, 18))).toMatchObject({ grewC: 5, grew: true });
    expect(hotspotOverEdge(runs(13, 13, 13, 17.9, 17.9, 17.9))).toMatchObject({ grew: false });
  });

  it("has grown where three at either end lie further apart than a t test of six allows (2.78, Student's t, 4 degrees, 97.5 %)", () => {
    // Deviations of 3 at either end: the means of three each are known to 2.5, whole degrees counted.
    expect(hotspotOverEdge(runs(8, 11, 14, 16, 19, 22))).toMatchObject({ grewC: 8, grew: true });
    expect(hotspotOverEdge(runs(8, 11, 14, 14, 17, 20))).toMatchObject({ grewC: 6, grew: false });
  });

  it("starts anew with a mount, and compares under one load alone", () => {
    const before = [20, 20, 20].map((overC) => run(overC, { mountId: "mount-0" }));
    expect(hotspotOverEdge([...before, ...runs(13, 13, 13)])).toMatchObject({ grewC: null, runs: 3 });
    const lighter = [5, 5, 5].map((overC) => run(overC, { workloadId: "lighter" }));
    expect(hotspotOverEdge([...lighter, ...runs(13, 13, 13)])).toMatchObject({ grewC: null, runs: 3 });
  });

  it("is read in proportion to the power that passed, where each run read it", () => {
    const powered = (overC: number, powerW: number) => run(overC, { powerW });
    const more = [
      ...[13, 13, 13].map((c) => powered(c, 200)),
      ...[19.5, 19.5, 19.5].map((c) => powered(c, 300)),
    ];
    expect(hotspotOverEdge(more)?.grewC).toBeCloseTo(0, 6);
    expect(hotspotOverEdge(more)?.grew).toBe(false);
  });

  it("is nothing where no hotspot was read, under ten minutes, or of what failed", () => {
    expect(hotspotOverEdge([])).toBeNull();
    expect(hotspotOverEdge([evidenceRow({ loadTempC: 60 })])).toBeNull();
    expect(hotspotOverEdge([run(13, { durationS: 300 })])).toBeNull();
    expect(hotspotOverEdge([run(13, { outcome: "artefacts" })])).toBeNull();
    expect(hotspotOverEdge([run(13, { loadTempC: null })])).toBeNull();
  });

  it("is seldom said to have grown where it only scatters, and mostly where it grew by eight", () => {
    const random = seededRandom(4711);
    const days = 400;
    const said = (growth: number): number =>
      Array.from({ length: days }, () =>
        Array.from({ length: 8 }, (_, i) => Math.round(14 + (i > 4 ? growth : 0) + random.normal())),
      ).filter((over) => hotspotOverEdge(runs(...over))?.grew).length / days;
    expect(said(0)).toBeLessThan(0.01);
    expect(said(8)).toBeGreaterThan(0.85);
  });
});
