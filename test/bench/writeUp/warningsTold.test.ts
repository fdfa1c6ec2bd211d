import { describe, expect, it } from "vitest";
import type { FrontierWarning } from "../../../server/bench/frontier/frontierWarnings.ts";
import { warningsTold } from "../../../server/bench/writeUp/warningsTold.ts";

const warning = (about: FrontierWarning["about"], voltageMv: number): FrontierWarning => ({
  about,
  voltageMv,
  message: `${about} at ${voltageMv}.`,
  attempts: [],
});

describe("warningsTold(warnings)", () => {
  it("says each kind once, at its highest voltage, and names the others", () => {
    const warnings = [
      warning("tight", 1150),
      warning("tight", 1200),
      warning("no-ambient", 1150),
      warning("tight", 1250),
    ];
    expect(warningsTold(warnings)).toEqual([
      "tight at 1250. Likewise at 1.150 V and 1.200 V.",
      "no-ambient at 1150.",
    ]);
  });

  it("leaves contested claims to the list of their own, and says nothing of nothing", () => {
    expect(warningsTold([warning("contested", 1200)])).toEqual([]);
    expect(warningsTold([])).toEqual([]);
  });
});
