import { describe, expect, it } from "vitest";
import { marginOf } from "../../../server/bench/frontier/margin.ts";
import { heatBoundsOf } from "../../../server/bench/heat/heatBounds.ts";
import { lawOfHeatOf } from "../../../server/bench/heat/lawOfHeat.ts";
import { marginAt, warmthOf, whyTooWarm } from "../../../server/bench/next/warmth.ts";
import { evidenceRow, testChip } from "../../support/evidenceRows.ts";

const warm = (loadTempC: number, hotspot: number | null, ambientC = 20) =>
  evidenceRow({ ambientC, loadTempC, temps: hotspot === null ? null : { hotspot } });

describe("what is left to the limits of all places", () => {
  it("is told by the main place alone where nothing else was read, as a control value where it is one", () => {
    const plain = heatBoundsOf(testChip({ tempLimitC: 95 }), [warm(70, null)]);
    expect(plain.leastMargin(80, 30)).toEqual({ marginC: 15, place: null, limitC: 95 });
    const told = heatBoundsOf(testChip({ tempLimitC: 95, controlOffsetC: 10 }), [warm(70, null)]);
    expect(told.leastMargin(80, 30)).toEqual({ marginC: 25, place: null, limitC: 105 });
    const unread = heatBoundsOf(testChip({ tempLimitC: 95, limits: { hotspot: 60 } }), [warm(70, null)]);
    expect(unread.leastMargin(80, 30).place).toBeNull();
  });

  it("is that of the place that has least, which rises with the main one as its runs showed", () => {
    const rows = [warm(70, 80), warm(60, 68)];
    const bounds = heatBoundsOf(testChip({ tempLimitC: 95, limits: { hotspot: 100 } }), rows);
    const { marginC, place, limitC } = bounds.leastMargin(85, 30);
    expect([place, limitC]).toEqual(["hotspot", 100]);
    expect(marginC).toBeCloseTo(100 - (30 + 1.2 * 55), 9);
    expect(bounds.leastMargin(40, 30)).toMatchObject({ place: null, marginC: 55 });
  });

  it("counts a place's rise over the true temperature of the main one", () => {
    const chip = testChip({ tempLimitC: 95, controlOffsetC: 10, limits: { hotspot: 100 } });
    const bounds = heatBoundsOf(chip, [warm(80, 80)]);
    expect(bounds.leastMargin(95, 30).marginC).toBeCloseTo(100 - (30 + 1.2 * 55), 9);
  });

  it("learns no share from a run that hardly warmed up, and takes no place for colder than the room", () => {
    const chip = testChip({ tempLimitC: 95, limits: { hotspot: 60 } });
    expect(heatBoundsOf(chip, [warm(24, 40)]).leastMargin(50, 30).place).toBeNull();
    const bounds = heatBoundsOf(chip, [warm(24, 40), warm(60, 68)]);
    expect(bounds.leastMargin(55, 30).marginC).toBeCloseTo(60 - (30 + 1.2 * 25), 9);
    // A reading under the room, as of a loop that was chilled: the other place stands at the room at least.
    expect(bounds.leastMargin(20, 30)).toMatchObject({ place: "hotspot", marginC: 30 });
  });

  it("bars a setting by the place that comes too near, names it, and counts its margin in the answer", () => {
    const rows = [4400, 4500, 4600].map((clockMhz, i) => ({ ...warm(50 + i, 68 + 2 * i), clockMhz }));
    const law = lawOfHeatOf(rows);
    if ("unknown" in law) throw new Error(law.unknown);
    const asked = (more: object) =>
      warmthOf(
        { chip: testChip({ tempLimitC: 95, ...more }), hottestAmbientC: 30, workloads: [] },
        rows,
        law,
        null,
      );
    const setting = { clockMhz: 4600, voltageMv: 1250 };
    expect(whyTooWarm(asked({}), setting)).toBeNull();
    expect(whyTooWarm(asked({ limits: { hotspot: 88 } }), setting)).toContain(
      "too near what the hotspot may reach, 88 °C",
    );
    expect(whyTooWarm(asked({ tempLimitC: 70 }), setting)).toContain("too near the limit of 70 °C");
    expect(whyTooWarm(asked({ tempLimitC: 70, controlOffsetC: 25 }), setting)).toBeNull();
    expect(marginAt(asked({ limits: { hotspot: 88 } }), 65)).toBeLessThan(marginAt(asked({}), 65));
  });

  it("takes a control value off where a margin was read", () => {
    const pass = [warm(80, null)];
    const margin = (more: object) => marginOf(pass, testChip({ tempLimitC: 95, ...more }), 30).marginC;
    expect([margin({}), margin({ controlOffsetC: 10 })]).toEqual([5, 15]);
  });

  it("is, of what was read at several places, that of the place nearest its own limit", () => {
    const margin = (limits: Readonly<Record<string, number>>) =>
      marginOf([warm(70, 88), warm(72, 80)], testChip({ tempLimitC: 95, limits }), 30);
    expect(margin({})).toMatchObject({ loadTempC: 72, marginC: 13, margin: "ok" });
    expect(margin({ hotspot: 100 })).toMatchObject({ loadTempC: 72, marginC: 2, margin: "tight" });
    expect(margin({ hotspot: 96 })).toMatchObject({ marginC: -2, margin: "over" });
    expect(margin({ hotspot: 120, edge: 60 })).toMatchObject({ marginC: 13 });
  });
});
