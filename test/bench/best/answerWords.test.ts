import { describe, expect, it } from "vitest";
import { passesInWords } from "../../../server/bench/best/answerWords.ts";

describe("passesInWords(setting)", () => {
  const told = (more: object) =>
    passesInWords({ chance: 0.96, hours: 1, guarded: false, from: "limit", ...more } as never);

  it("says how often the hours of its use pass there, and that a guard is counted", () => {
    expect(told({})).toBe("an hour there passes 96 in 100");
    expect(told({ hours: 8 })).toBe("8 hours there pass 96 in 100");
    expect(told({ guarded: true })).toBe("an hour there passes 96 in 100, guard included");
  });

  it("says so where no chance is known", () => {
    expect(told({ chance: null, from: "held" })).toBe("held by the acceptance rule, no chance is known");
    expect(told({ chance: null })).toBe("its chance is being worked out");
  });
});
