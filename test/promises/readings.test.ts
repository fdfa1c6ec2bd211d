import { describe, expect, it } from "vitest";
import { hangsOnDroop } from "./readCoverage.ts";
import { bandsOf, heldIn, widthRatio } from "./readingParts.ts";
import { simulators } from "./subjects.ts";

/** The short form of `--part readings`, with its seed: how 60 chips of it came is said beside each. */
const seed = 4_300_000;

describe("a limit taught by attempts on automatic voltage whose load voltage was read", () => {
  it.each(simulators)("lies in its 90 % band, which is narrower than without them, %s", (simulator) => {
    const banded = bandsOf({ seed, simulator }, 30);
    const own = banded("context");
    expect(heldIn(own).mean).toBeGreaterThanOrEqual(0.86);
    expect(widthRatio(own, banded("without"))).toBeLessThan(0.9);
  });

  it("lies there less often where all hangs on the droop and its uncertainty is left out", () => {
    const both = simulators.map((simulator) => bandsOf({ seed, simulator, ...hangsOnDroop }, 30));
    const held = (told: "context" | "droopKnown"): number =>
      both.reduce((sum, banded) => sum + heldIn(banded(told)).mean / both.length, 0);
    expect(held("context")).toBeGreaterThan(held("droopKnown"));
  });
});
