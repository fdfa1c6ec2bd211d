import { describe, expect, it } from "vitest";
import { heardFigures } from "./errorParts.ts";

/** The short form: six chips of each simulator, the seed fixed. */
describe.each(["first", "second"] as const)(
  "forecasts that hear corrected errors, %s simulator",
  (simulator) => {
    const { makes, none, strays } = heardFigures({ simulator, chips: 6, seed: 1000 });

    it("score better on chips that make errors before they fail", () => {
      // 0.105 and 0.088 on these seeds.
      expect(makes.better.mean).toBeGreaterThan(0.08);
    });

    it("do no harm to chips that make none, nor to chips whose errors no clock explains", () => {
      expect(none.otherwise).toBe(0);
      expect(strays.otherwise).toBeGreaterThan(0);
      expect(strays.better.mean).toBeGreaterThan(-0.01);
    });
  },
);
