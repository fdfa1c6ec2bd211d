import { describe, expect, it } from "vitest";
import { otherLeakyLaw } from "../../support/otherLeakyBuild.ts";
import { ownLaw } from "../../support/powerLaws.ts";
import { type PowerSummary, powerSummary } from "../../support/powerSummary.ts";

/** How many of those that tell a figure hold the truth, and how few would be too few: some one in a hundred below. */
type Pins = Readonly<Record<keyof PowerSummary, number>>;

const heldIn = (summary: PowerSummary): Pins => ({
  switched: summary.switched.held,
  static: summary.static.held,
  efficiency: summary.efficiency.held,
  lastStep: summary.lastStep.held,
});

function expectPinned(summary: PowerSummary, least: Pins): void {
  const held = heldIn(summary);
  for (const [figure, count] of Object.entries(least))
    expect(held[figure as keyof Pins], figure).toBeGreaterThanOrEqual(count);
}

/**
 * The goal is 93 to 98 %; what 400 builds of each law gave stands in DEVELOPERS.md: `npm run promises -- --part power`.
 * Nothing was tuned on the seeds of the other law.
 */
describe("95 % ends of power figures", () => {
  it("hold the truth of builds that follow the fit's law: of 100 on these seeds 87 and 87 of 91, 98 and 99", () => {
    const summary = powerSummary(100, 4_000_000, ownLaw);
    expect([summary.switched.asked, summary.static.asked]).toEqual([91, 91]);
    expectPinned(summary, { switched: 86, static: 86, efficiency: 97, lastStep: 98 });
  });

  it("hold it of builds that follow another law: of 400 on these seeds 339 and 340 of 346, 389 and 381", () => {
    const summary = powerSummary(400, 8_400_000, otherLeakyLaw);
    expect([summary.switched.asked, summary.static.asked]).toEqual([346, 346]);
    expectPinned(summary, { switched: 335, static: 336, efficiency: 385, lastStep: 377 });
  });
});
