import { describe, expect, it } from "vitest";
import { answerOf, settledAnswerOf } from "../../server/answers/answerOf.ts";
import { compareBuilds } from "../../server/answers/compareBuilds.ts";
import { fittedLimits } from "../../server/answers/fittedLimits.ts";
import { frontierOfBuild } from "../../server/answers/frontierOfBuild.ts";
import { reckoningsOn } from "../../server/answers/reckoned.ts";
import { type FitKind, type FitQuestions, fitAnswerOf } from "../../server/bench/best/limitQuestions.ts";
import { attemptDraft } from "../../server/bench/things/attempt.ts";
import { chipDraft } from "../../server/bench/things/chip.ts";
import { isCrash } from "../../server/bench/things/outcome.ts";
import { fillDemo } from "../../server/demo/demoJournal.ts";
import { otherBenches } from "../../server/demo/otherBenches.ts";
import { freshJournal, theInstant } from "../support/bench.ts";

const scenario = otherBenches(theInstant);
const [card, memory] = scenario.builds.map(({ id }) => scenario.attempts.filter((one) => one.buildId === id));
const bare = (thing: object, ...more: string[]) => {
  const left = ["id", "createdAt", "updatedAt", "version", ...more];
  return Object.fromEntries(Object.entries(thing).filter(([field]) => !left.includes(field)));
};

describe("the demo's evenings with a card, a set of memory and a processor set core by core", () => {
  it("are the same for the same instant and seed, lie before its bench days, and are labelled", () => {
    expect(otherBenches(theInstant)).toEqual(scenario);
    expect(otherBenches(theInstant, 5)).not.toEqual(scenario);
    const days = new Set(scenario.attempts.map(({ startedAt }) => startedAt.slice(0, 10)));
    expect([...days]).toHaveLength(4);
    for (const day of days) expect(Date.parse(theInstant) - Date.parse(day)).toBeGreaterThan(6 * 86_400_000);
    for (const thing of [...scenario.chips, ...scenario.boards, ...scenario.workloads, ...scenario.builds])
      expect(thing.note).toContain("Invented for the demo");
  });

  it("hold nothing that the journal would refuse", () => {
    for (const chip of scenario.chips) expect(() => chipDraft.parse(bare(chip))).not.toThrow();
    for (const attempt of scenario.attempts) {
      const draft = bare(attempt, "buildId", "mountId", "asBuilt", "setAside");
      expect(attemptDraft.parse(draft)).toEqual(draft);
      if (attempt.outcome === "pass") expect(attempt.durationS).toBe(attempt.plannedS);
    }
  });

  it("log the card by offset, with power limit and memory offset, hotspot beside the edge, and read back after a reset", () => {
    expect(card?.every(({ offset, clockMhz }) => offset !== null && clockMhz === null)).toBe(true);
    expect(new Set(card?.map(({ knobs }) => knobs?.["power-limit"]))).toEqual(new Set([100, 110]));
    expect(card?.some(({ outcome }) => outcome === "artefacts")).toBe(true);
    expect(card?.filter(({ temps }) => (temps?.hotspot ?? 0) > 60).length).toBeGreaterThan(6);
    card?.forEach(({ outcome }, i) => {
      if (outcome === "driver-reset" && card[i + 1]) expect(card[i + 1]?.settingReadBack).toBe("confirmed");
    });
  });

  it("log the memory over three trainings with cycles, errors by module and both modules' heat", () => {
    expect(memory?.every(({ training }) => training === "full")).toBe(true);
    expect(
      memory?.filter(({ outcome, errors }) => isCrash(outcome) && errors.length > 0).length,
    ).toBeGreaterThan(1);
    const journal = freshJournal();
    fillDemo(journal, theInstant);
    const build = scenario.builds[1]?.id as string;
    const held = frontierOfBuild(journal, { buildId: build }).points.flatMap(({ heldMhz }) => heldMhz ?? []);
    expect(held).toEqual([6200]);
    expect(frontierOfBuild(journal, { buildId: build }).byKnobs.length).toBeGreaterThan(2);
  });

  it("hold two cards of one kind that Compare tells apart along their offset", async () => {
    const journal = freshJournal();
    fillDemo(journal, theInstant);
    const reckonings = reckoningsOn(journal, async (kind, request) =>
      fitAnswerOf(kind as FitKind, request as FitQuestions[FitKind]),
    );
    const [first, , spare] = scenario.builds.map(({ id }) => id) as [string, string, string];
    const question = { a: first, b: spare };
    const { offsetsApart = null } = await fittedLimits(journal, reckonings, question);
    const { offsets, sentence } = compareBuilds(journal, question, { offsetsApart });
    expect(offsets).toMatchObject({ verdict: "differs", parts: 1, rows: [{ a: 150, b: 210 }] });
    expect(offsets?.low).toBeGreaterThan(0);
    expect(sentence).toMatch(/^Long rig, Lens 4 goes .* steps further/);
  });

  it("try the processor core by core, name the core that failed, and leave the whole list to an attendant", async () => {
    const [archive] = scenario.builds.slice(-1);
    const tried = scenario.attempts.filter(({ buildId }) => buildId === archive?.id);
    const alone = tried.filter(({ part }) => part !== null);
    expect(new Set(alone.map(({ part }) => part))).toEqual(new Set(["core 0", "core 1", "core 2"]));
    expect(alone.some(({ part, crashPart }) => crashPart === part)).toBe(true);
    const together = tried.filter(({ offsets }) => offsets !== null);
    const attended = together.filter(({ toldBy }) => toldBy === "attendant");
    expect(attended.map(({ loadProved, bootId }) => [loadProved, bootId !== null])).toEqual([
      [true, true],
      [true, true],
    ]);
    expect(attended.map(({ aboveCeiling }) => aboveCeiling)).toEqual([true, false]);
    const journal = freshJournal();
    fillDemo(journal, theInstant);
    const reckonings = reckoningsOn(journal, async (kind, request) =>
      fitAnswerOf(kind as FitKind, request as FitQuestions[FitKind]),
    );
    const { byOffset } = await settledAnswerOf(journal, reckonings, archive!.id);
    expect(byOffset).toMatchObject({ offsets: attended[1]?.offsets, provedTogether: true });
    for (const { part, setting } of byOffset?.parts ?? []) {
      const failed = alone.filter((one) => one.part === part && isCrash(one.outcome));
      const easiest = Math.max(...failed.map(({ offset }) => offset ?? 0));
      expect(setting?.level, `${part}`).toBeGreaterThan(easiest);
    }
  });

  it("have an answer each: an offset that ran, and a rate", async () => {
    const journal = freshJournal();
    fillDemo(journal, theInstant);
    const reckonings = reckoningsOn(journal, async (kind, request) =>
      fitAnswerOf(kind as FitKind, request as FitQuestions[FitKind]),
    );
    const [rig, set] = scenario.builds.map(({ id }) => id) as [string, string];
    const offset = await settledAnswerOf(journal, reckonings, rig);
    expect(offset.state).toBe("done");
    expect(offset.byOffset?.offset).toBeGreaterThanOrEqual(105);
    expect(offset.byOffset?.offset).toBeLessThanOrEqual(150);
    expect(offset.byOffset?.parts[0]?.knobs.map(({ knobId }) => knobId)).toEqual(["memory-offset"]);
    await settledAnswerOf(journal, reckonings, set);
    expect(answerOf(journal, reckonings, set).state).not.toBe("too-little");
  });
});
