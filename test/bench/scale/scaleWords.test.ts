import { describe, expect, it } from "vitest";
import type { LadderAnswer } from "../../../server/bench/next/ladderAnswer.ts";
import type { Purpose } from "../../../server/bench/next/nextAnswer.ts";
import {
  becauseLevelSettled,
  becauseOfLevel,
  levelBarred,
  levelInWords,
} from "../../../server/bench/scale/scaleWords.ts";

describe("levelInWords(scale, level)", () => {
  it("gives what counts from nothing its sign, as firmware shows it", () => {
    const offset = { name: "offset", unit: "mV" } as const;
    expect([-30, 0, 12.5, 0.1 + 0.2].map((level) => levelInWords(offset, level))).toEqual([
      ...["offset −30 mV", "offset 0 mV", "offset +12.5 mV", "offset +0.3 mV"],
    ]);
    expect(levelInWords({ name: "offset", unit: "counts" }, -20)).toBe("offset −20");
  });

  it("gives a knob that has a usual value none", () => {
    expect(levelInWords({ name: "CL", unit: "", usual: 40 } as never, 32)).toBe("CL 32");
  });
});

const answer: LadderAnswer = {
  ...{ rung: 3, chance: 0.962, nextChance: 0.912, sure: 3, likely: 5, highest: 7, near: true },
};

describe("why a level is proposed", () => {
  const odds = "it passes 60 in 100 times";
  type Said = Readonly<{ rung?: number | null; attempts?: number; minutes?: number }>;
  const why = (purpose: Purpose, { rung = 3, attempts = 5, minutes = 20 }: Said = {}) =>
    becauseOfLevel({ level: "CL 32", minutes, chanceOfPass: 0.6 }, purpose, { ...answer, rung }, attempts);

  it("is told by what was tried, by whether anything holds yet, and by what the run is for", () => {
    const none = { rung: null };
    expect(why("screen", { ...none, attempts: 0 })).toMatch(
      /^Nothing has been tried here yet; CL 32 for 20 minutes/,
    );
    expect(why("screen", none)).toMatch(/^Nothing here is likely enough to hold yet; CL 32/);
    expect(why("screen")).toMatch(/^The limit has not shown itself yet; CL 32/);
    expect(why("resolve")).toMatch(/^The limit lies between what passed and what failed; CL 32/);
    expect(why("prove", none)).toBe(
      `Short runs can no longer tell the last steps apart; CL 32 for 20 minutes can, and ${odds}.`,
    );
    expect(why("resolve", { minutes: 60 })).toContain("CL 32 for an hour narrows it most");
  });
});

describe("why a level is the answer", () => {
  const settled = (nextChance: number) =>
    becauseLevelSettled("CL 32", { ...answer, nextChance }, { chance: 0.95, hours: 1 });

  it("says how often the hours pass there and one step harder, which is never told as what is asked", () => {
    expect(settled(0.9499)).toBe(
      "CL 32 passes an hour 96 in 100 times, one step harder 94 in 100 times; 95 are asked for.",
    );
    expect(settled(0.0001)).toContain("one step harder 1 in 100 times");
  });

  it("says what stands in the way of a step that likely holds too", () => {
    expect(settled(0.95)).toContain("one step harder likely too, but a failure stands against it");
  });
});

describe("a level that a failure stands against", () => {
  it("says how it failed, and after how many minutes where it lasted one", () => {
    const barred = (durationS: number) =>
      levelBarred("CL 30", { row: { outcome: "freeze", durationS } } as never);
    expect([barred(59), barred(60), barred(200)].map((words) => words.split(".")[0])).toEqual([
      ...["CL 30: froze", "CL 30: froze after 1 min", "CL 30: froze after 3 min"],
    ]);
  });
});
