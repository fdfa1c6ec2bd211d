import { describe, expect, it } from "vitest";
import { hardestRead, offsetPowersOf } from "../../../server/bench/power/offsetPower.ts";
import { powerAccountOf } from "../../../server/bench/power/powerAccount.ts";
import type { TaggedRun } from "../../../server/bench/runs/runRow.ts";
import { lens3 } from "../../../server/demo/imageCard.ts";
import { seededRandom } from "../../../server/numerics/seededRandom.ts";
import { run } from "../comparison/benchDay.ts";

const load = { id: "images", scoreBetter: "higher" } as const;
const ran = (offset: number | null, powerW: number | null, over: Partial<TaggedRun> = {}): TaggedRun => ({
  ...run({ id: "run", mountId: "m" }),
  ...{ workloadId: load.id, clockMhz: null, voltageMv: null, powerAt: "chip" },
  ...{ voltageReadAt: null, loadLine: null, tags: [] },
  ...{ offset, powerW },
  ...over,
});
const powersOf = (runs: readonly TaggedRun[], chip: Parameters<typeof offsetPowersOf>[3] = lens3) =>
  offsetPowersOf(runs, load, "chip", chip);
const cores = {
  ...lens3,
  knobs: [],
  offset: { ...lens3.offset!, name: "Undervolt", unit: "mV", harder: "down" },
} as const;

describe("what each offset draws and gives", () => {
  it("is the mean of its runs, with score and clock for a watt of it, the easiest offset first", () => {
    const powers = powersOf([
      ran(150, 230, { score: 46, effectiveClockMhz: 2640 }),
      ran(-30, 200, { clockMhz: 2460 }),
      ran(150, 234, { score: 48, effectiveClockMhz: 2636 }),
    ]);
    expect(powers.map(({ offset }) => offset)).toEqual([-30, 150]);
    expect(powers[1]).toMatchObject({ runs: 2, powerReadings: 2, powerW: 232, score: 47, clockMhz: 2638 });
    expect(powers[1]!.scorePerW).toBeCloseTo(47 / 232, 12);
    expect(powers[0]).toMatchObject({ score: null, scorePerW: null, mhzPerW: 12.3, powerEnds: null });
    expect(powersOf([ran(-10, 30), ran(-40, 28)], cores).map(({ offset }) => offset)).toEqual([-10, -40]);
  });

  it("has ends by Student's t of the readings at one offset, and none for a single one", () => {
    // Student's t of one degree of freedom at 97.5 %: 12.706 (NIST/SEMATECH e-Handbook, 1.3.6.7.2).
    const [once, twice] = powersOf([ran(0, 219.3), ran(150, 228), ran(150, 228.4)]);
    const scatter = Math.log(228.4 / 228) / Math.SQRT2;
    expect(once!.powerEnds).toBeNull();
    const half = 228.2 * 12.706 * (scatter / Math.SQRT2);
    expect(twice!.powerEnds![0]).toBeCloseTo(228.2 - half, 2);
    expect(twice!.powerEnds![1]).toBeCloseTo(228.2 + half, 2);
  });

  it("is no surer than the whole watts it was read in", () => {
    const [same] = powersOf([ran(150, 228), ran(150, 228)]);
    // 1.96 times a step of one over the root of twelve (JCGM 100:2008, F.2.2.1).
    expect(same!.powerEnds![0]).toBeCloseTo(228 - 1.96 / Math.sqrt(12), 3);
  });

  it("holds the truth between its ends as often as it says", () => {
    const random = seededRandom(17);
    let [held, of] = [0, 0];
    for (let day = 0; day < 400; day += 1) {
      const runs = [0, 0, 60, 60, 120, 120, 150].map((offset) =>
        ran(offset, (200 + offset / 5) * (1 + 0.01 * random.normal())),
      );
      for (const { offset, powerEnds } of powersOf(runs)) {
        if (powerEnds === null) continue;
        const truth = 200 + offset! / 5;
        held += powerEnds[0] <= truth && truth <= powerEnds[1] ? 1 : 0;
        of += 1;
      }
    }
    expect(of).toBe(1200);
    expect(held / of).toBeGreaterThan(0.93);
    expect(held / of).toBeLessThan(0.97);
  });

  it("keeps knobs apart that stand elsewhere than usual, and says so; one unsaid stands as usual", () => {
    const powers = powersOf([
      ran(150, 250, { knobs: { "power-limit": 110, "memory-offset": 0 } }),
      ran(150, 228, { knobs: { "power-limit": 100, "memory-offset": 0 } }),
      ran(150, 229),
    ]);
    expect(powers.map(({ words, knobs, runs }) => [words, knobs, runs])).toEqual([
      ["+150 MHz", null, 2],
      ["+150 MHz with power limit 110 %", { "power-limit": 110 }, 1],
    ]);
  });

  it("takes a knob left to the board for usual where that is usual, whatever it came to", () => {
    const chip = { ...lens3, knobs: [{ ...lens3.knobs[0]!, usual: "auto" }] };
    const at = (value: number | "auto" | { auto: number }) =>
      ran(150, 228, { knobs: { "power-limit": value } });
    const powers = powersOf([at("auto"), at({ auto: 104 }), ran(150, 229), at(104)], chip);
    expect(powers.map(({ words, runs }) => [words, runs])).toEqual([
      ["+150 MHz", 3],
      ["+150 MHz with power limit 104 %", 1],
    ]);
  });

  it("knows a part under test by its own offset, and all parts by their list", () => {
    const list = (first: number, second: number) => ({ "core 1": first, "core 2": second });
    const powers = powersOf(
      [
        ran(null, 30, { offsets: list(-20, -10), part: "core 1" }),
        ran(null, 31, { offsets: list(-20, -30), part: "core 1" }),
        ran(null, 32, { offsets: list(-10, -20), part: "core 2" }),
        ran(null, 80, { offsets: list(-20, -30) }),
        ran(null, 82, { offsets: list(-10, -20) }),
        ran(null, 84, { offsets: list(-20, -10) }),
      ],
      cores,
    );
    expect(powers.map(({ words, offset, runs }) => [words, offset, runs])).toEqual([
      ["core 1 −10 mV, core 2 −20 mV", null, 1],
      ["core 1 −20 mV, core 2 −10 mV", null, 1],
      ["−20 mV on core 1", -20, 2],
      ["−20 mV on core 2", -20, 1],
      ["core 1 −20 mV, core 2 −30 mV", null, 1],
    ]);
    expect(powers.at(-1)!.offsets).toEqual(list(-20, -30));
  });

  it("is told at the hardest offset whose power was read, with the knobs it was read with most often", () => {
    const limited = { knobs: { "power-limit": 110 } };
    const runs = [
      ran(180, null, { score: 47 }),
      ran(150, 228),
      ran(150, 250, limited),
      ran(150, 251, limited),
    ];
    expect(hardestRead(powersOf([...runs, ran(0, 219)]))!.words).toBe("+150 MHz with power limit 110 %");
    expect(hardestRead(powersOf([ran(150, 250, limited), ran(150, 228)]))!.words).toBe("+150 MHz");
    expect(hardestRead(powersOf([ran(0, 219), ran(0, 220), ran(150, 228)]))!.words).toBe("+150 MHz");
    expect(hardestRead(powersOf([ran(180, null, { score: 47 })]))).toBeUndefined();
  });

  it("leaves out what failed, other loads, and power read elsewhere", () => {
    const powers = powersOf([
      ran(150, 228, { outcome: "driver-reset" }),
      ran(120, 150, { workloadId: "light" }),
      ran(90, 300, { powerAt: "wall", score: 44 }),
      ran(60, null),
      ran(30, 226, { outcome: "stopped", powerAt: null }),
    ]);
    expect(powers.map(({ offset, powerW, score }) => [offset, powerW, score])).toEqual([
      [30, 226, null],
      [90, null, 44],
    ]);
  });

  it("gives no score for a watt where less is better", () => {
    const runs = [ran(150, 228, { score: 60, effectiveClockMhz: 2640 })];
    const [timed] = offsetPowersOf(runs, { ...load, scoreBetter: "lower" }, "chip", lens3);
    expect([timed!.score, timed!.scorePerW]).toEqual([60, null]);
    expect(timed!.mhzPerW).toBeCloseTo(2640 / 228, 12);
  });
});

describe("the account of a chip that is set by offset", () => {
  const workloads = new Map();
  const board = { corePhases: 8, phaseRatingA: 50 };
  const account = (runs: readonly TaggedRun[], supply: number | null = null) =>
    powerAccountOf(runs, workloads, board, null, supply, lens3);

  it("never says that no power was read where some was, and tells no droop of a voltage that was read", () => {
    const read = { clockMhz: 2640, voltageMv: 1045, loadVoltageMv: 1010, currentA: 220, loadLine: "auto" };
    const { fit, droops, loadLines, phases, byOffset, points } = account([ran(150, 228, read)]);
    expect(fit).toEqual({
      unknown: "This chip is set by an offset: what it draws is told offset by offset.",
    });
    expect([droops, loadLines, points]).toEqual([[], [], []]);
    expect(phases).toMatchObject({ currentA: 220 });
    expect(byOffset).toHaveLength(1);
    expect(account([ran(150, null)])).toMatchObject({ fit: { unknown: "No power was read yet." } });
    expect(account([ran(150, 228, { outcome: "artefacts" })])).toMatchObject({
      fit: { unknown: "No power was read under this load in a run that kept running." },
    });
  });

  it("stays at the place where power was read most often, and takes off what a supply loses", () => {
    const wall = [ran(0, 300, { powerAt: "wall" }), ran(60, 310, { powerAt: "wall" }), ran(90, 228)];
    const kept = account(wall);
    expect([kept.powerAt, kept.wall?.supplyEfficiency]).toEqual(["wall", null]);
    expect(kept.byOffset!.map(({ powerW }) => powerW)).toEqual([300, 310]);
    const behind = account(wall, 0.9);
    expect(behind.byOffset![0]!.powerW).toBeCloseTo(270, 9);
    expect(behind.wall!.supplyEfficiency).toBe(0.9);
  });
});
