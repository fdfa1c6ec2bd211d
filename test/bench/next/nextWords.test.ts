import { describe, expect, it } from "vitest";
import { answerOfUse } from "../../../server/bench/limit/acceptance.ts";
import { becauseSettledAtVoltage, becauseSettledMap } from "../../../server/bench/next/nextWords.ts";

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

describe("becauseSettledMap", () => {
  const unrun = (where: string) =>
    `what to run has not run itself yet; ten minutes ${where} make it the answer.`;

  const at = (more: Partial<Parameters<typeof becauseSettledMap>[1]> = {}) => ({
    ...{ openMv: [], hotMv: [], unrunMv: [] },
    ...more,
  });

  it("says where heat sets the limit", () => {
    expect(becauseSettledMap(7, at({ hotMv: [1250, 1275], unrunMv: [1100] }))).toBe(
      `At all 7 voltages the limit is known near enough; for the map no more attempts are worth the bench time. At 1.250 V and 1.275 V heat sets the limit before the clock does. At 1.100 V ${unrun("there")}`,
    );
  });

  it("says where what to run has not run, and nothing of it where it has", () => {
    expect(becauseSettledMap(7, at({ unrunMv: [950, 1050] }))).toMatch(
      `are worth the bench time. At 0.950 V and 1.050 V ${unrun("at each")}`,
    );
    expect(becauseSettledMap(7, at({ unrunMv: [950, 1000, 1050] }))).toMatch(
      "At 0.950 V, 1.000 V and 1.050 V what to run",
    );
    expect(becauseSettledMap(7, at({ openMv: [1100], unrunMv: [950] }))).toMatch(
      `worth the bench time. At 0.950 V ${unrun("there")}`,
    );
    expect(becauseSettledMap(3, at({ openMv: [950, 1000, 1050] }))).toBe(
      "At none of 3 voltages is the limit known near enough, but no attempt within the bounds would narrow it enough to be worth the bench time.",
    );
    expect(becauseSettledMap(1, at({ openMv: [950] }))).toMatch(
      "At this voltage the limit is not known near enough, but no",
    );
    expect(becauseSettledMap(1, at())).toBe(
      "At this voltage the limit is known near enough; for the map no more attempts are worth the bench time.",
    );
  });
});
