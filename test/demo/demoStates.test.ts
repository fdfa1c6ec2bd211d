import { expect, it } from "vitest";
import { accountOf } from "../../server/answers/accountOf.ts";
import { settledAnswerOf } from "../../server/answers/answerOf.ts";
import { frontierOfBuild } from "../../server/answers/frontierOfBuild.ts";
import { answerTo, limitQuestion } from "../../server/answers/limitOfBuild.ts";
import { type Reckon, reckoningsOn } from "../../server/answers/reckoned.ts";
import { type FitKind, type FitQuestions, fitAnswerOf } from "../../server/bench/best/limitQuestions.ts";
import { fillDemo } from "../../server/demo/demoJournal.ts";
import { freshJournal, migrations, theInstant } from "../support/bench.ts";

const fits: Reckon = async (kind, request) => fitAnswerOf(kind as FitKind, request as FitQuestions[FitKind]);

it("has a build that is looked at, one that lacks a run, one that is done, and a contested setting, all said to be invented", async () => {
  const journal = freshJournal();
  fillDemo(journal, theInstant);
  const reckonings = reckoningsOn(journal, fits);
  const builds = journal.builds.all();
  const states: string[] = [];
  for (const { id } of builds) states.push((await settledAnswerOf(journal, reckonings, id)).state);
  expect(new Set(states)).toEqual(new Set(["looking", "enough", "done"]));
  const points = builds.flatMap(({ id }) => frontierOfBuild(journal, { buildId: id }).points);
  expect(points.some(({ contested }) => contested.length > 0)).toBe(true);
  for (const { note } of [...journal.chips.all(), ...journal.boards.all()])
    expect(note).toContain("Invented for the demo");
});

it("has a sample that corrects itself before it fails, and says what was counted beside its limit", async () => {
  const journal = freshJournal();
  fillDemo(journal, theInstant);
  const spare = journal.builds.all().find(({ name }) => name === "Open frame, the spare")!;
  const question = limitQuestion(journal, { buildId: spare.id });
  const limit = await answerTo(reckoningsOn(journal, fits), question);
  expect(limit).toMatchObject({ state: "fitted", errors: { counted: 8, attempts: 4 } });
  expect("sentence" in limit && limit.sentence).toContain("Corrected errors speak too");
});

it("says once in an account what to run and how often it passes", async () => {
  const journal = freshJournal();
  fillDemo(journal, theInstant);
  const buildId = journal.builds.all().find(({ name }) => name === "Cupboard, louvred door")!.id;
  const rooms = { journal, reckonings: reckoningsOn(journal, fits), migrations };
  const { account } = await accountOf(rooms, {
    ...{ buildIds: [buildId], use: "benchmark", now: theInstant, invented: true },
  });
  const said = account.recommendations[0]!.because.join(" ");
  expect(said.match(/Run \d/g)).toHaveLength(1);
  expect(said.match(/ there pass/g)?.length).toBe(said.includes("Passed over") ? 2 : 1);
  expect(said).not.toContain("is the highest clock that is good enough");
  expect(said).toMatch(/From \d+ attempts, the longest/);
  const shelf = journal.builds.all().find(({ name }) => name.startsWith("Shelf"))!.id;
  const { account: byPart } = await accountOf(rooms, {
    ...{ buildIds: [shelf], use: "benchmark", now: theInstant, invented: true },
  });
  const list = byPart.recommendations[0]!.because.join(" ");
  expect(list.match(/ran together as well/g)).toHaveLength(1);
});
