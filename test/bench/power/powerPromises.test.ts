import { describe, expect, it } from "vitest";
import { otherLeakyLaw } from "../../support/otherLeakyBuild.ts";
import { ownLaw } from "../../support/powerLaws.ts";
import { powerSummary } from "../../support/powerSummary.ts";

/**
 * What 400 builds of each law gave stands in DEVELOPERS.md: `npm run promises -- --part power`. Of the 200 here that follow
 * another law clock per watt holds 93.5 %, the fewest of all: the goal begins at 93.
 */
describe("ends of power figures", () => {
  it("hold the truth of builds that follow the fit's law as often as 95 % does, in every figure", () => {
    const summary = powerSummary(100, 4_000_000, ownLaw);
    for (const [figure, { asked, held }] of Object.entries(summary)) {
      expect(asked, figure).toBeGreaterThan(60);
      expect(held / asked, figure).toBeGreaterThan(0.92);
    }
  });

  it("hold it of builds that follow another law, and the last step no less", () => {
    const summary = powerSummary(200, 4_000_000, otherLeakyLaw);
    for (const [figure, { asked, held }] of Object.entries(summary)) {
      expect(asked, figure).toBeGreaterThan(120);
      expect(held / asked, figure).toBeGreaterThan(0.93);
    }
  });
});
