import { describe, expect, it } from "vitest";
import { alikeFigures } from "./alikePairs.ts";
import { pairFigures } from "./clockPairs.ts";
import { leastCount } from "./counts.ts";
import { simulators } from "./subjects.ts";

/** The short form of the parts "clocks" and "alike"; what many pairs gave stands in the README beside this file. */
const seed = 8_000_000;
const pairs = 40;

describe.each(simulators)("one difference in clock for a pair of builds, %s simulator", (simulator) => {
  const alike = pairFigures({ pairs, seed, apartMhz: 0, simulator });
  const apart = pairFigures({ pairs, seed, apartMhz: 50, simulator });

  it("holds the truth as often as 95 % does", () => {
    expect(alike.held + apart.held).toBeGreaterThanOrEqual(leastCount(2 * pairs, 0.95));
    expect(alike.differs).toBeLessThanOrEqual(pairs - leastCount(pairs, 0.95));
  });

  it("finds 50 MHz more often than a paired t over the crash clocks does", () => {
    expect(apart.differs).toBeGreaterThan(0.75 * pairs);
    expect(apart.differs).toBeGreaterThan(apart.pairedT);
  });
});

describe("builds alike in clock, heat and noise", () => {
  it("seldom differ in any measure once all are judged together", () => {
    const { together, alone } = alikeFigures({ pairs, seed, simulator: "first" });
    expect(together).toBeLessThanOrEqual(pairs - leastCount(pairs, 0.95));
    expect(alone).toBeGreaterThanOrEqual(together);
  });
});
