import { describe, expect, it } from "vitest";
import { usualAssumptions } from "../../../server/bench/comparison/assumptions.ts";
import { judgedClock } from "../../../server/bench/comparison/clockApart.ts";
import { differenceRows } from "../../../server/bench/comparison/intervalRows.ts";
import { judgedOffsets } from "../../../server/bench/comparison/offsetsApart.ts";
import { type SameSettingRow, sameSettingRows } from "../../../server/bench/comparison/sameSetting.ts";
import { wordsOfComparison } from "../../../server/bench/comparison/sentence.ts";
import { build, run } from "./benchDay.ts";

const curve = { name: "curve", unit: "mV", step: 5, harder: "down" } as const;
const core = { name: "core offset", unit: "MHz", step: 15, harder: "up" } as const;
const held = (part: string | null, heldOffset: number | null, easiestCrash: number | null) => ({
  part,
  heldOffset,
  easiestCrash,
});
const words = (offsets: ReturnType<typeof judgedOffsets>, sameSetting: readonly SameSettingRow[] = []) =>
  wordsOfComparison({
    ...{
      aName: "Shelf",
      bName: "Duct",
      sameChip: true,
      clockStepMhz: 25,
      clockUnit: "MHz" as const,
      offsets,
    },
    clock: judgedClock(null, usualAssumptions),
    ...{ sameVoltage: [], sameSetting, noise: [] },
  });

describe("two builds set by offset", () => {
  it("are told apart part by part in the offset's own unit, with the ends that were observed", () => {
    const { rows, verdict } = judgedOffsets({
      axis: curve,
      a: [held("core 1", -20, -25), held("core 2", -30, null), held("core 3", null, -10)],
      b: [held("core 1", -30, -40), held("core 2", -25, -35), held("core 4", -5, null)],
      apart: null,
    });
    expect(rows).toMatchObject([
      { part: "core 1", a: -20, b: -30, difference: -10, bracket: { low: -20, high: -5 } },
      { part: "core 2", a: -30, b: -25, difference: 5, bracket: { low: -5, high: null } },
    ]);
    expect(verdict).toBe("not-enough");
  });

  it("turn the ends of what was observed where harder is up", () => {
    const { rows } = judgedOffsets({
      ...{ axis: core, a: [held(null, 120, 135)], b: [held(null, 150, 180)], apart: null },
    });
    expect(rows).toMatchObject([{ difference: 30, bracket: { low: 15, high: 60 } }]);
  });

  it("say who held further, and by how much, without a verdict where nothing is fitted", () => {
    const ofOne = judgedOffsets({
      ...{ axis: curve, a: [held(null, -20, null)], b: [held(null, -35, null)], apart: null },
    });
    expect(words(ofOne)).toMatchObject({
      sentence: "Duct held 15 mV further, how far the limits lie apart is not fitted yet.",
      detail: "No limits are fitted, so what was held is observed only.",
      together: [],
    });
    const ofTwo = judgedOffsets({
      axis: curve,
      a: [held("core 1", -20, null), held("core 2", -30, null)],
      b: [held("core 1", -10, null), held("core 2", -30, null)],
      apart: null,
    });
    expect(words(ofTwo).sentence).toBe(
      "Shelf held further on 1 of 2 parts, how far the limits lie apart is not fitted yet.",
    );
    const alike = judgedOffsets({
      ...{ axis: curve, a: [held(null, -20, null)], b: [held(null, -20, null)], apart: null },
    });
    expect(words(alike).sentence).toContain("Both held the same curve");
  });

  it("judge the mean over the parts once, in steps of the offset, more being harder or less", () => {
    const parts = [
      { part: "core 1", difference: -14, low: -22, high: -6 },
      { part: "core 2", difference: -6, low: -13, high: 1 },
    ];
    const offsets = judgedOffsets({
      axis: curve,
      a: [held("core 1", -20, -25), held("core 2", -30, -35)],
      b: [held("core 1", -30, -40), held("core 2", -35, -40)],
      apart: { difference: -10, low: -15.5, high: -5.2, parts },
    });
    expect(words(offsets)).toMatchObject({
      sentence: "Duct goes two or three steps further.",
      detail:
        "On the mean of 2 parts Duct can be set 5 to 16 mV further than Shelf, by their fitted limits, not decided on core 2 alone.",
      together: [{ measure: "offset", verdict: "differs" }],
    });
    const rows = differenceRows(
      {
        ...{ clockUnit: "MHz", offsets, clock: judgedClock(null, usualAssumptions) },
        ...nothingElse,
        together: words(offsets).together,
      },
      String,
    );
    expect(rows.map(({ label, words, decided }) => [label, words, decided])).toEqual([
      ["curve, 2 parts", "−10 mV (−16 to −5)", true],
      ["core 1", "−14 mV (−22 to −6)", true],
      ["core 2", "−6 mV (−13 to 1)", false],
    ]);
  });

  it("are not told apart by an offset that barely differs, once heat is judged with it and does not", () => {
    const offsets = judgedOffsets({
      ...{ axis: curve, a: [held(null, -20, -25)], b: [held(null, -30, -40)] },
      apart: { difference: -10, low: -19.8, high: -0.2, parts: [] },
    });
    const heat = (name: string, temps: readonly number[]) =>
      build(
        name,
        temps.map((loadTempC, n) => run({ id: `${name}${n}`, mountId: `${name}${n}`, loadTempC })),
      );
    const sameSetting = sameSettingRows({
      ...{ a: heat("Shelf", [80, 80.5, 79.5]), b: heat("Duct", [80.2, 80.7, 79.7]), others: [] },
      ...{ idleWorkloadIds: new Set<string>(), assumptions: usualAssumptions },
    });
    expect(words(offsets).sentence).toMatch(/^Duct goes .* further\.$/);
    expect(words(offsets, sameSetting).sentence).toContain("he curve may differ, but that is not sure");
  });

  it("call a difference that is less than a step just that", () => {
    const offsets = judgedOffsets({
      ...{ axis: core, a: [held(null, 120, 135)], b: [held(null, 120, 150)] },
      apart: { difference: 9, low: 2, high: 13, parts: [{ part: null, difference: 9, low: 2, high: 13 }] },
    });
    expect(offsets.smallerThan).toBe("step");
    expect(words(offsets).sentence).toBe("Duct goes further, by less than one step of the core offset.");
  });
});

const nothingElse = { sameVoltage: [], sameSetting: [], noise: [], score: [], together: [] };
