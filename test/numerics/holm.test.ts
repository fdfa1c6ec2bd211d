import { describe, expect, it } from "vitest";
import { holmAdjusted } from "../../server/numerics/holm.ts";
import published from "../reference/comparisons.json" with { type: "json" };

/** Sources, both seen: a multiple testing script of ETH Zurich's Seminar for Statistics; examples of the package HDLSSkST. */
describe("holmAdjusted(chances)", () => {
  const [five, seven] = published.cases;
  it("rejects as many as the script says, with the adjusted chances of its five", () => {
    const adjusted = holmAdjusted(five!.inputs.p);
    expect(adjusted.filter((chance) => chance <= 0.05)).toHaveLength(five!.expected.holm_rejected!);
    for (const [i, chance] of adjusted.entries())
      expect(chance).toBeCloseTo(five!.expected.computed_here.holm[i]!, 9);
  });
  it("puts the one on the limit at 0.05, and keeps the order of seven", () => {
    const adjusted = holmAdjusted(seven!.inputs.p);
    for (const [i, chance] of adjusted.entries())
      expect(chance).toBeCloseTo(seven!.expected.computed_here.holm[i]!, 9);
    expect(adjusted.map((chance) => (chance < 0.05 - 1e-12 ? 1 : 0))).toEqual(seven!.expected.holm_printed);
  });
  it("leaves one alone and none empty", () => {
    expect(holmAdjusted([0.03])).toEqual([0.03]);
    expect(holmAdjusted([])).toEqual([]);
  });
});
