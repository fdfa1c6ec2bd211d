import { describe, expect, it } from "vitest";
import { type OnAutomatic, placedByReading } from "../../../server/bench/power/placedByReading.ts";
import type { ElectricalRun } from "../../../server/bench/runs/electricalRun.ts";
import type { TriedRow } from "../../../server/bench/things/evidenceRow.ts";
import { seededRandom } from "../../../server/numerics/seededRandom.ts";
import { evidenceRow } from "../../support/evidenceRows.ts";

const electrical = (over: Partial<ElectricalRun> = {}): ElectricalRun => ({
  ...evidenceRow({ voltageMv: 1200, loadVoltageMv: 1150, voltageReadAt: "board" }),
  ...{ loadLine: null, currentA: null, score: null },
  ...over,
});

const automatic = (over: Partial<TriedRow> = {}, loadLine: string | null = null): OnAutomatic => ({
  row: { ...evidenceRow({ loadVoltageMv: 1160, voltageReadAt: "board" }), voltageMv: null, ...over },
  loadLine,
});

const pairs = [
  electrical(),
  electrical({ loadVoltageMv: 1146 }),
  electrical({ voltageMv: 1220, clockMhz: 4525, loadVoltageMv: 1168 }),
];
const place = (one: OnAutomatic, runs: readonly ElectricalRun[] = pairs) => placedByReading([one], runs);

describe("an attempt on automatic voltage", () => {
  it("is placed at what was read plus the droop of the settings that were read, and keeps the rest", () => {
    const one = automatic();
    const [placed] = place(one) as [ReturnType<typeof placedByReading>[number]];
    expect(placed.row).toEqual({ ...one.row, voltageMv: 1212 });
    expect(placed.readDeviationMv).toBeLessThan(placed.droopDeviationMv);
    expect(Math.hypot(placed.readDeviationMv, placed.droopDeviationMv)).toBeGreaterThan(5);
  });

  it("is placed by no reading of another place, load or load-line, nor by a lone one, nor by none", () => {
    expect(place(automatic({ voltageReadAt: "chip" }))).toEqual([]);
    expect(place(automatic({ workloadId: "graphics" }))).toEqual([]);
    expect(place(automatic({}, "level 3"))).toEqual([]);
    expect(
      place(
        automatic({}, "level 3"),
        pairs.map((run) => ({ ...run, loadLine: "level 3" })),
      ),
    ).toHaveLength(1);
    expect(place(automatic(), pairs.slice(0, 1))).toEqual([]);
    expect(place(automatic({ loadVoltageMv: null }))).toEqual([]);
    expect(
      place(
        automatic({ voltageReadAt: null }),
        pairs.map((run) => ({ ...run, voltageReadAt: null })),
      ),
    ).toEqual([]);
    expect(place(automatic({ clockMhz: null }))).toEqual([]);
    expect(place(automatic({ outcome: "no-start", durationS: 0 }))).toEqual([]);
    expect(
      place(
        automatic(),
        pairs.map((run) => ({ ...run, outcome: "freeze" as const })),
      ),
    ).toEqual([]);
  });

  it("is placed by no droop that leaves it where no voltage can be set", () => {
    const odd = pairs.map((run) => ({ ...run, voltageMv: 100, loadVoltageMv: 2900 }));
    expect(place(automatic({ loadVoltageMv: 150 }), odd)).toEqual([]);
  });

  it("stands about what the firmware gives its clock: of readings that scatter, little is its own", () => {
    const readings = [1150, 1170, 1146, 1174, 1160, 1140, 1180];
    const placed = placedByReading(
      readings.map((loadVoltageMv) => automatic({ loadVoltageMv })),
      pairs,
    );
    const voltages = placed.map(({ row }) => row.voltageMv);
    expect(Math.max(...voltages) - Math.min(...voltages)).toBeLessThan(8);
    expect(voltages[5]!).toBeLessThan(voltages[6]!);
    expect(placed[0]!.droopDeviationMv).toBeGreaterThan(6);
  });

  it("droops further where it draws more, the less surely the further that lies from what was read", () => {
    const near = place(automatic())[0]!;
    const far = place(automatic({ clockMhz: 5520 }))[0]!;
    expect(far.row.voltageMv).toBeGreaterThan(near.row.voltageMv);
    expect(far.droopDeviationMv).toBeGreaterThan(1.3 * near.droopDeviationMv);
  });

  it("lies within its 90 % band nine times in ten, by its reading and by its droop, however few were read", () => {
    const { normal } = seededRandom(77);
    for (const read of [2, 4, 10]) {
      let held = 0;
      const rounds = 4000;
      for (let i = 0; i < rounds; i++) {
        const scatterMv = 6 * Math.exp(0.4 * normal());
        const reading = (setMv: number): number => setMv - 55 + scatterMv * normal();
        const runs = Array.from({ length: read }, () => electrical({ loadVoltageMv: reading(1200) }));
        const [one] = place(automatic({ loadVoltageMv: reading(1215) }), runs) as [
          ReturnType<typeof place>[number],
        ];
        const deviationMv = Math.hypot(one.readDeviationMv, one.droopDeviationMv);
        held += Number(Math.abs(one.row.voltageMv - 1215) <= 1.645 * deviationMv);
      }
      expect(held / rounds).toBeGreaterThan(0.87);
      expect(held / rounds).toBeLessThan(0.96);
    }
  });
});
