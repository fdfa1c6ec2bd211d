import { describe, expect, it } from "vitest";
import { chipPowerRows, powerLawOf } from "../../../server/bench/heat/powerLaw.ts";
import type { EvidenceRow } from "../../../server/bench/things/evidenceRow.ts";
import { evidenceRow } from "../../support/evidenceRows.ts";

/**
 * P = C V^2 f + static power: the usual first-order power of complementary logic, as textbooks of digital circuits give it
 * (from memory). In watts, volts and megahertz.
 */
const watts = (clockMhz: number, voltageMv: number, staticW: number): number =>
  0.018 * (voltageMv / 1000) ** 2 * clockMhz + staticW;
const settings = [
  [4400, 1100],
  [4600, 1200],
  [4900, 1300],
] as const;
const readings = (staticW: number, more: Partial<EvidenceRow> = {}): EvidenceRow[] =>
  settings.map(([clockMhz, voltageMv]) =>
    evidenceRow({ clockMhz, voltageMv, powerW: watts(clockMhz, voltageMv, staticW), ...more }),
  );

describe("powerLawOf(rows)", () => {
  it("finds the static share and the rest in readings made by it", () => {
    const law = powerLawOf(readings(25))!;
    expect(law).toMatchObject({ voltages: 3, readings: 3 });
    expect(law.staticW).toBeCloseTo(25, 6);
    expect(law.wattsAt(4700, 1250)).toBeCloseTo(watts(4700, 1250, 25), 6);
  });

  it("counts a static share below nothing as nothing, and one of all as nine tenths", () => {
    const below = powerLawOf(readings(-30))!;
    expect(below.staticW).toBe(0);
    const mean = settings.reduce((sum, [clockMhz, mv]) => sum + watts(clockMhz, mv, -30), 0) / 3;
    const switching = settings.reduce((sum, [clockMhz, mv]) => sum + (mv / 1000) ** 2 * clockMhz, 0) / 3;
    expect(below.wattsAt(1000, 1000)).toBeCloseTo((1000 * mean) / switching, 6);
    const flat = powerLawOf(
      settings.map(([clockMhz, voltageMv]) => evidenceRow({ clockMhz, voltageMv, powerW: 80 })),
    )!;
    expect(flat.staticW).toBeCloseTo(72, 9);
  });

  it("says nothing from one voltage", () => {
    expect(powerLawOf(readings(25).slice(0, 1))).toBeUndefined();
    expect(
      powerLawOf([evidenceRow({ powerW: 90 }), evidenceRow({ powerW: 95, clockMhz: 4700 })]),
    ).toBeUndefined();
  });

  it("takes the clock that was seen over the one that was set", () => {
    const rows = readings(25).map((row) => ({ ...row, clockMhz: 5200, effectiveClockMhz: row.clockMhz }));
    expect(powerLawOf(rows)?.staticW).toBeCloseTo(25, 6);
  });
});

describe("chipPowerRows(rows)", () => {
  it("takes readings of the chip alone, of runs that ran", () => {
    const none: readonly Partial<EvidenceRow>[] = [
      { powerW: null },
      { powerW: 0 },
      { powerAt: "wall" },
      { throttled: true },
      { outcome: "no-start" },
      { durationS: 29 },
    ];
    for (const more of none)
      expect(chipPowerRows([evidenceRow({ powerW: 90, ...more })]), JSON.stringify(more)).toEqual([]);
    const some: readonly Partial<EvidenceRow>[] = [
      { powerAt: "chip" },
      { throttled: false },
      { outcome: "freeze" },
      { durationS: 30 },
    ];
    for (const more of some) expect(chipPowerRows([evidenceRow({ powerW: 90, ...more })])).toHaveLength(1);
  });

  it("takes one load and one place, read at the most voltages, then most often", () => {
    const heavy = readings(25);
    const light = readings(20, { workloadId: "light" }).slice(0, 2);
    expect(chipPowerRows([...light, ...heavy])).toEqual(heavy);
    const board = readings(35, { powerAt: "board" });
    expect(chipPowerRows([...board, ...heavy.slice(0, 2)])).toEqual(board);
    const again = [...readings(25), ...readings(25)];
    expect(chipPowerRows([...board, ...again])).toEqual(again);
    const unnamed = readings(25).slice(0, 2);
    const named = readings(25, { powerAt: "chip" }).slice(2);
    expect(chipPowerRows([...unnamed, ...named])).toEqual([...unnamed, ...named]);
  });
});
