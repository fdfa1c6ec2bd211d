import { describe, expect, it } from "vitest";
import { scatterOf } from "../../../server/bench/comparison/scatter.ts";

describe("how far repeats lie apart", () => {
  it("is pooled over all that was repeated, and says over how much", () => {
    const scatter = scatterOf([[80, 82], [60, 61, 62], [50]], "runs")!;
    // Squares about each group's own mean: 2 of one degree of freedom, 2 of two.
    expect(scatter.standardDeviation).toBeCloseTo(Math.sqrt(4 / 3), 9);
    expect(scatter).toMatchObject({
      degreesOfFreedom: 3,
      from: "5 runs in 2 sets of repeats, pooled",
    });
    expect(scatterOf([[80, 82]], "mounts")?.from).toBe("2 mounts in 1 set of repeats, pooled");
  });

  it("is not known where nothing was repeated", () => {
    expect(scatterOf([[80], [60]], "runs")).toBeUndefined();
  });
});
