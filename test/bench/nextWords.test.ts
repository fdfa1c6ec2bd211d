import { describe, expect, it } from "vitest";
import { becauseSettledAtVoltage } from "../../server/bench/nextWords.ts";

const words = (nextChance: number) =>
  becauseSettledAtVoltage(
    { clockMhz: 4550, voltageMv: 1187.5 },
    { rung: 182, chance: 0.991, nextChance, settled: nextChance <= 0.5 },
  );

describe("becauseSettledAtVoltage", () => {
  it("says of a next step that likely fails only its chance", () => {
    expect(words(0.31)).toContain("the next step up with 31 in 100; more runs are not worth the bench time.");
  });

  it("says of one that likely holds what it lacks, and never the chance that is asked for", () => {
    expect(words(0.9299)).toContain("with 92 in 100 where an answer takes 93 in 100.");
    expect(words(0.7)).toContain("with 70 in 100 where an answer takes 93 in 100; to tell takes more");
  });
});
