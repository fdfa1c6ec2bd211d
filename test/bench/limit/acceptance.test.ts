import { describe, expect, it } from "vitest";
import {
  acceptableHazardPerMinute,
  crashesInWords,
  targetOfUse,
} from "../../../server/bench/limit/acceptance.ts";

const hazardOf = (use: keyof typeof targetOfUse): number => acceptableHazardPerMinute(targetOfUse[use]);

describe("acceptance", () => {
  it("says nine in ten one-hour runs as about one crash per nine hours, and grows stricter with the use", () => {
    expect(crashesInWords(hazardOf("benchmark"))).toBe("about one crash per 9 hours");
    expect(crashesInWords(hazardOf("daily"))).toBe("about one crash per 80 hours");
    expect(crashesInWords(hazardOf("unattended"))).toBe("about one crash per 2400 hours");
  });

  it("means that a run of the target's hours survives with the target's chance", () => {
    for (const use of ["benchmark", "daily", "unattended"] as const) {
      const { chance, hours } = targetOfUse[use];
      expect(Math.exp(-hazardOf(use) * 60 * hours)).toBeCloseTo(chance, 12);
    }
  });

  it("counts in minutes where an hour is not survived", () => {
    expect(crashesInWords(1 / 12)).toBe("about one crash per 10 minutes");
    expect(crashesInWords(1 / 4)).toBe("about one crash per 4 minutes");
  });
});
