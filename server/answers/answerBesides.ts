import { aimInWords, type BuildAim } from "../bench/things/aim.ts";
import type { Journal } from "../store/file/journal.ts";
import {
  type BuildAnswer,
  knobsAtLast,
  knobsTold,
  loadOf,
  nothingSettled,
  recordBehind,
} from "./answerOf.ts";
import { type BuildAtHand, buildAsked } from "./buildAsked.ts";
import { answerTo, type BuildFitQuestion, bestQuestion } from "./limitOfBuild.ts";
import { offsetBestQuestion } from "./offsetOfBuild.ts";
import type { Reckonings } from "./reckoned.ts";

export type BesidesQuestion = BuildFitQuestion & Readonly<{ aim: BuildAim }>;

/** The answer to another question than the build's own: another use, goal, rule or load, or believing less. It says so. */
export async function answerBesides(
  journal: Journal,
  reckonings: Reckonings,
  { aim, ...asked }: BesidesQuestion,
): Promise<BuildAnswer> {
  const atHand = buildAsked(journal, { buildId: asked.buildId });
  const { build, chip } = atHand;
  const found = await (chip.axis === "offset"
    ? alongOffset(journal, reckonings, { aim, ...asked }, atHand)
    : byClock(journal, reckonings, { aim, ...asked }, atHand));
  const own = aimInWords({ use: build.use, goal: build.goal }, chip.axis);
  const because = [...found.because, `This is not the aim of the build: ${own}.`];
  return { ...found, because, aim, reckoning: false, changedBecause: [] };
}

type Found = Omit<BuildAnswer, "aim" | "reckoning" | "changedBecause">;

async function byClock(
  journal: Journal,
  reckonings: Reckonings,
  { aim, ...asked }: BesidesQuestion,
  atHand: BuildAtHand,
): Promise<Found> {
  const best = await answerTo(reckonings, bestQuestion(journal, { ...asked, ...aim }));
  const knobs = knobsTold(atHand.chip, best.setting?.knobs ?? null);
  return {
    ...best,
    byOffset: null,
    knobs,
    load: loadOf(atHand, best),
    restsOn: recordBehind(journal, atHand),
  };
}

async function alongOffset(
  journal: Journal,
  reckonings: Reckonings,
  { buildId, workloadId, aim }: BesidesQuestion,
  atHand: BuildAtHand,
): Promise<Found> {
  const question = offsetBestQuestion(journal, { buildId, workloadId, use: aim.use });
  const found = await answerTo(reckonings, question);
  const rests = recordBehind(journal, atHand);
  if (!("parts" in found))
    return {
      ...nothingSettled,
      because: [found.because],
      byOffset: null,
      knobs: null,
      load: null,
      restsOn: rests,
    };
  const { state, because } = found;
  const knobs = knobsAtLast(journal, atHand);
  const load = loadOf(atHand, { byOffset: found });
  return { ...nothingSettled, state, because, byOffset: found, knobs, load, restsOn: rests };
}
