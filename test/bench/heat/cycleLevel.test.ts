import { describe, expect, it } from "vitest";
import { cycleLevel } from "../../../server/bench/heat/cycleLevel.ts";
import type { HeatCycle } from "../../../server/bench/heat/heatCycle.ts";

const cycle = { periodS: 40, lowC: 60, highC: 80 } as HeatCycle;
/** Cycles of 40 s that swing by ten degrees about these means. */
const levelOf = (means: readonly number[], windowS = 120, load = { fromS: 0, toS: 40 * means.length }) => {
  const t = Float64Array.from({ length: 40 * means.length }, (_, second) => second);
  const values = t.map((second) => means[Math.floor(second / 40)]! + (second % 40 < 20 ? 10 : -10));
  return cycleLevel({ t, values }, cycle, load, windowS);
};

describe("the level of a temperature that swings", () => {
  it("is the mean of whole cycles, each of which is one reading (Student's t of two degrees, 95 %: 4.303)", () => {
    const level = levelOf([70, 71, 73])!;
    expect(level).toMatchObject({ windowS: 120, independent: 3 });
    expect(level.meanC).toBeCloseTo((70 + 71 + 73) / 3, 9);
    // The sample variance of 70, 71 and 73 is seven thirds.
    const half = 4.303 * Math.sqrt(7 / 3 / 3);
    expect(level.highC - level.meanC).toBeCloseTo(half, 2);
    expect(level.meanC - level.lowC).toBeCloseTo(half, 2);
  });

  it("is of as many of the last cycles as the window holds, and of three at least", () => {
    expect(levelOf([50, 50, 70, 70, 70, 70], 165)).toMatchObject({ meanC: 70, windowS: 160, independent: 4 });
    expect(levelOf([50, 50, 70, 70, 70], 50)).toMatchObject({ meanC: 70, independent: 3 });
  });

  it("is not known where the load did not last for three cycles", () => {
    expect(levelOf([70, 70])).toBeNull();
    expect(levelOf([70, 70, 70, 70], 120, { fromS: 50, toS: 160 })).toBeNull();
  });
});
