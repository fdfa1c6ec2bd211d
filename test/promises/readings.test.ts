import { describe, expect, it } from "vitest";
import { hangsOnDroop } from "./readCoverage.ts";
import { bandsOf, heldIn, widthRatio } from "./readingParts.ts";
import { simulators } from "./subjects.ts";

/** The short form of `--part readings`, with its seed: 87 and 85 % of the bands held, two thirds as wide as without. */
const seed = 4_300_000;

describe("a limit taught by attempts on automatic voltage whose load voltage was read", () => {
  it.each(simulators)("lies in its 90 % band, which is narrower than without them, %s", (simulator) => {
    const banded = bandsOf({ seed, simulator }, 60);
    const own = banded("context");
    expect(heldIn(own).mean).toBeGreaterThanOrEqual(0.84);
    expect(widthRatio(own, banded("without"))).toBeLessThan(0.75);
  });

  it.each(simulators)(
    "lies there less often where all hangs on the droop and that is taken as known, %s",
    (simulator) => {
      const banded = bandsOf({ seed, simulator, ...hangsOnDroop }, 40);
      const held = heldIn(banded("context")).mean;
      expect(held).toBeGreaterThanOrEqual(0.86);
      expect(heldIn(banded("droopKnown")).mean).toBeLessThan(held - 0.04);
    },
  );
});
