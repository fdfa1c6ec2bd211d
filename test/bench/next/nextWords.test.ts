import { describe, expect, it } from "vitest";
import { answerOfUse } from "../../../server/bench/limit/acceptance.ts";
import { becauseSettledAtVoltage } from "../../../server/bench/next/nextWords.ts";

const words = (nextChance: number) =>
  becauseSettledAtVoltage(
    { clockMhz: 4550, voltageMv: 1187.5 },
    { rung: 182, chance: 0.962, nextChance, sure: 182, likely: 184, highest: 186, near: true },
    answerOfUse.benchmark,
    "MHz",
  );

describe("becauseSettledAtVoltage", () => {
  it("says how likely the hours pass there, and at the next step", () => {
    expect(words(0.912)).toContain("4550 MHz at 1.1875 V passes an hour 96 in 100 times");
    expect(words(0.912)).toContain("the next step up passes an hour 91 in 100 times; 95 are asked for");
  });

  it("never gives the next step the chance that is asked for, unless something stands against it", () => {
    expect(words(0.9499)).toContain("94 in 100");
    expect(words(0.97)).toContain("a failure stands against it or it runs too hot");
  });
});
