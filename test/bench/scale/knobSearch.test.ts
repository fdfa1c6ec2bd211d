import { describe, expect, it } from "vitest";
import {
  isSearched,
  type KnobNext,
  type KnobSearch,
  knobNextOf,
} from "../../../server/bench/scale/knobSearch.ts";
import type { EvidenceRow } from "../../../server/bench/things/evidenceRow.ts";
import { type KnobDraft, knobFrom } from "../../../server/bench/things/knob.ts";
import { seededRandom } from "../../../server/numerics/seededRandom.ts";
import { curvePart } from "../../support/curvePart.ts";
import { evidenceRow, testChip, testWorkload } from "../../support/evidenceRows.ts";

const cl: KnobDraft = { id: "cl", name: "CL", step: 1, harder: "down", belongs: "setting", usual: 40 };
const bus: KnobDraft = { id: "bus", name: "Bus", step: 100, harder: "up", belongs: "setting", usual: 1800 };
const search = (rows: KnobSearch["rows"], more: Partial<KnobSearch> = {}): KnobSearch => ({
  ...{ chip: testChip({ knobs: [cl, bus].map(knobFrom) }), knobId: "cl", hottestAmbientC: 30, rows },
  ...{ workloads: [testWorkload("all-core"), testWorkload("idle", { kind: "idle" })], use: "benchmark" },
  ...more,
});
const at = (value: number, outcome: EvidenceRow["outcome"], more: Partial<EvidenceRow> = {}): EvidenceRow =>
  evidenceRow({
    ...{ outcome, durationS: outcome === "pass" ? 1200 : 200, loadTempC: 60 },
    ...{ knobs: { cl: value }, ...more },
  });
const levelOf = (next: KnobNext): number | null => ("durationS" in next ? next.level : null);

describe("a knob that can be looked along", () => {
  it("has a step and one direction, and is a number", () => {
    expect(isSearched(knobFrom(cl))).toBe(true);
    expect(isSearched(knobFrom({ ...cl, step: null }))).toBe(false);
    expect(isSearched(knobFrom({ ...cl, harder: "window" }))).toBe(false);
    expect(isSearched(knobFrom({ ...cl, harder: "none" }))).toBe(false);
    expect(isSearched(knobFrom({ ...cl, choices: ["30", "32"] }))).toBe(false);
    expect(isSearched(knobFrom({ ...bus, belongs: "context" }))).toBe(true);
  });
});

describe("looking along a knob, all else as it was last", () => {
  it("asks of a knob that the chip has, and that has a step and a direction", () => {
    const words = "The knob has no step and direction.";
    expect(() => knobNextOf(search([], { knobId: "none" }))).toThrow(words);
    const fixed = testChip({ knobs: [knobFrom({ ...cl, step: null })] });
    expect(() => knobNextOf(search([], { chip: fixed }))).toThrow(words);
  });

  it("proposes harder after passes, on the knob's own steps, never as hard as what failed", () => {
    const easy = levelOf(knobNextOf(search([at(40, "pass"), at(36, "pass")])));
    expect(easy).toBeLessThan(36);
    expect(Number.isInteger(easy)).toBe(true);
    const between = knobNextOf(search([at(40, "pass"), at(36, "pass"), at(30, "freeze"), at(34, "pass")]));
    expect(levelOf(between)).toBeGreaterThan(30);
  });

  it("counts a pass with all else as hard or harder, a failure with all else as hard or easier", () => {
    const before = [at(40, "pass"), at(36, "pass")];
    const harderElse = at(30, "freeze", { clockMhz: 4700 });
    const easierElse = at(33, "freeze", { clockMhz: 4500 });
    const now = at(35, "pass");
    const free = levelOf(knobNextOf(search([...before, harderElse, now])));
    expect(free).toBe(levelOf(knobNextOf(search([...before, now]))));
    const barred = levelOf(knobNextOf(search([...before, easierElse, now])));
    expect(barred).toBeGreaterThan(33);
    const easierPass = at(30, "pass", { voltageMv: 1300 });
    expect(knobNextOf(search([...before, easierPass, now])).soFar).toEqual(
      knobNextOf(search([...before, now])).soFar,
    );
  });

  it("counts runs on automatic voltage for one another, at one clock or as hard a one, as those at a set one", () => {
    const auto = (...of: Parameters<typeof at>) => ({ ...at(...of), voltageMv: null });
    const long = { durationS: 7200 };
    const found = (ran: typeof auto | typeof at, clockMhz = 4600) =>
      knobNextOf(
        search([ran(40, "pass", long), ran(36, "pass", { ...long, clockMhz }), ran(38, "pass", long)]),
      ).soFar;
    expect(found(auto).setting).toMatchObject({ level: 36, ranS: 7200 });
    expect(found(auto)).toEqual(found(at));
    expect(found(auto, 4500).setting).toBeNull();
    const mixed = [at(36, "pass", long), auto(38, "pass", long), auto(40, "pass", long)];
    expect(knobNextOf(search(mixed)).soFar.setting?.level).not.toBe(36);
  });

  it("compares lists of offsets only where they are the same", () => {
    const offset = { name: "Curve", unit: "mV" as const, step: 5, harder: "down" as const };
    const chip = testChip({
      ...{ axis: "offset", offset: { ...offset, low: -60, high: 0, countIsAboutMv: null } },
      ...{ parts: ["core 0", "core 1"].map((name) => ({ name, kernel: null })), knobs: [knobFrom(cl)] },
    });
    const listed = (second: number, ...of: Parameters<typeof at>): EvidenceRow => ({
      ...at(...of),
      offsets: { "core 0": -10, "core 1": second },
    });
    const before = [listed(-10, 40, "pass"), listed(-10, 36, "pass")];
    const now = listed(-10, 37, "pass");
    const found = (...between: EvidenceRow[]) =>
      levelOf(knobNextOf(search([...before, ...between, now], { chip })));
    expect(found(listed(-15, 35, "freeze"))).toBe(found());
    expect(found(listed(-10, 35, "freeze"))).toBeGreaterThan(35);
  });

  it("sets other knobs as they were last, and compares them by their own direction", () => {
    const fast = { cl: 36, bus: 2000 };
    const next = knobNextOf(
      search([at(32, "freeze", { knobs: { cl: 32, bus: 2200 } }), at(36, "pass", { knobs: fast })]),
    );
    expect(next.allElse?.knobs).toEqual(fast);
    expect(levelOf(next)).toBeLessThan(36);
    const slow = knobNextOf(
      search([at(34, "freeze", { knobs: { cl: 34 } }), at(38, "pass", { knobs: { cl: 38, bus: 2000 } })]),
    );
    expect(levelOf(slow)).toBeGreaterThan(34);
  });

  it("goes no further than the ceiling upward, and not under one step downward", () => {
    const capped = { ...bus, ceiling: 2000 };
    const rows = [1800, 1900, 2000].map((value) => at(40, "pass", { knobs: { bus: value } }));
    const up = knobNextOf(search(rows, { chip: testChip({ knobs: [knobFrom(capped)] }), knobId: "bus" }));
    expect(levelOf(up) ?? 0).toBeLessThanOrEqual(2000);
    const down = [4, 3, 2, 1].map((value) => at(value, "pass"));
    expect(levelOf(knobNextOf(search(down))) ?? 1).toBeGreaterThanOrEqual(1);
  });

  it("goes four steps at most beyond what was tried, whatever is likely", () => {
    const passes = [40, 39, 38].map((value) => at(value, "pass", { durationS: 7200 }));
    expect(levelOf(knobNextOf(search(passes)))).toBe(34);
    expect(levelOf(knobNextOf(search([])))).toBeGreaterThanOrEqual(36);
    const rising = [1800, 1900, 2000].map((value) => at(40, "pass", { knobs: { bus: value } }));
    const up = levelOf(knobNextOf(search(rising, { knobId: "bus" })));
    expect(up).toBeGreaterThan(2000);
    expect(up).toBeLessThanOrEqual(2400);
  });

  it("begins where nothing was tried, and says that there is nothing of it so far", () => {
    const next = knobNextOf(search([]));
    expect(next.soFar.setting).toBeNull();
    expect(next.allElse).toBeNull();
  });
});

describe("a whole search along a knob of which nobody knows what a step is worth", () => {
  const searched = (index: number) => {
    const part = curvePart("undervolt", index, seededRandom(8_000_000 + index), 14);
    const random = seededRandom(8_500_000 + index);
    const knob = { ...cl, id: "rail", name: "Rail", unit: "mV", step: part.scale.step, usual: 0 };
    const chip = testChip({ knobs: [knobFrom(knob)] });
    const rows: EvidenceRow[] = [];
    for (let turn = 1; turn <= 60; turn++) {
      const next = knobNextOf(search(rows, { chip, knobId: "rail", seed: turn }));
      if ("settled" in next) return part.stepsAt(-Math.log(0.9) / 60) + next.settled.level / part.scale.step;
      if (!("durationS" in next)) return null;
      const { row } = part.ran(next.level, next.durationS / 60, random).at;
      rows.push({ ...row, clockMhz: 4600, voltageMv: 1250, offset: null, knobs: { rail: next.level } });
    }
    return null;
  };

  /** On these seeds 2.2 steps under on the mean, 0.4 to 3.7, none beyond the truth. */
  it("ends, within a few steps of the truth", () => {
    const under = Array.from({ length: 8 }, (_, index) => searched(index));
    expect(under).not.toContain(null);
    const mean = under.reduce<number>((sum, steps) => sum + (steps ?? 0), 0) / under.length;
    expect(mean).toBeLessThan(3.5);
    expect(under.filter((steps) => (steps ?? 0) < 0).length).toBeLessThanOrEqual(1);
  });
});
