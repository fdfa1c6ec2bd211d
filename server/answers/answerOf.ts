import type { BestAnswer, BestQuestion } from "../bench/best/bestSetting.ts";
import { lessBarred } from "../bench/best/lessBarred.ts";
import { plainAnswerOf } from "../bench/best/plainAnswer.ts";
import type { BuildAim } from "../bench/things/aim.ts";
import type { Journal } from "../store/file/journal.ts";
import { attemptsSince, type Mover, moversSince } from "./answerGrounds.ts";
import { buildAsked } from "./buildAsked.ts";
import { frontierOfAsked } from "./frontierOfBuild.ts";
import { type KeptAnswer, keepLanded, keptAnswerOf } from "./keptAnswer.ts";
import { answerTo, bestQuestion, latestAnswerTo } from "./limitOfBuild.ts";
import type { Reckonings } from "./reckoned.ts";

/** A build's one answer to its own aim: every page, note, comparison and address takes it from here. */
export type BuildAnswer = BestAnswer &
  Readonly<{
    aim: BuildAim;
    /** True until the record as it is has been fitted: then this is the kept answer, less what is now barred. */
    reckoning: boolean;
    /** What moved the setting since it was last shown; empty where nothing did. */
    changedBecause: readonly Mover[];
  }>;

/** What other answers carry of it. */
export const inShort = ({ state, setting, reckoning }: BuildAnswer) => ({
  state,
  setting: setting && {
    clockMhz: setting.clockMhz,
    voltageMv: setting.voltageMv,
    chance: setting.chance,
    hours: setting.hours,
  },
  reckoning,
});
export type ShortAnswer = ReturnType<typeof inShort>;

/** The answer at once, as far as it is known. */
export function answerOf(journal: Journal, reckonings: Reckonings, buildId: string): BuildAnswer {
  const asked = buildAsked(journal, { buildId });
  const aim = { use: asked.build.use, goal: asked.build.goal };
  if (journal.attempts.countOf(buildId) === 0) return { ...nothingTried, aim };
  const question = bestQuestion(journal, { buildId, ...aim });
  const latest = latestAnswerTo(reckonings, question);
  const kept = keptAnswerOf(journal, buildId, aim);
  if (latest?.fresh)
    return fittedAnswer(keepLanded(journal, buildId, aim, latest.answer, question.request), aim);
  const isLost = reckonings.hasFailed(question.kind, question.key);
  const answer = kept === null ? beforeAnyFit(journal, buildId, isLost) : sinceKept(kept, question.request());
  return {
    ...answer,
    aim,
    reckoning: true,
    because: isLost ? [fitFailed, ...answer.because] : answer.because,
  };
}

/** The answer on the journal as it is; waits for the fit, and where that fails tells so and what is known without it. */
export async function settledAnswerOf(
  journal: Journal,
  reckonings: Reckonings,
  buildId: string,
): Promise<BuildAnswer> {
  const { use, goal } = buildAsked(journal, { buildId }).build;
  if (journal.attempts.countOf(buildId) > 0)
    await answerTo(reckonings, bestQuestion(journal, { buildId, use, goal })).catch(() => undefined);
  return answerOf(journal, reckonings, buildId);
}

const fittedAnswer = ({ answer, changedBecause }: KeptAnswer, aim: BuildAim): BuildAnswer => ({
  ...answer,
  aim,
  reckoning: false,
  changedBecause,
});

function sinceKept(
  { answer, changedBecause, grounds }: KeptAnswer,
  question: BestQuestion,
): BestAnswer & Pick<BuildAnswer, "changedBecause"> {
  const since = new Set(attemptsSince(question, grounds).map(({ id }) => id));
  const reduced = lessBarred(answer, since, question);
  const isMoved = reduced.setting !== answer.setting;
  return { ...reduced, changedBecause: isMoved ? moversSince(question, grounds) : changedBecause };
}

/** Where no fit has answered yet nothing is said, and where none can, what holds by the rule alone. */
function beforeAnyFit(
  journal: Journal,
  buildId: string,
  isLost: boolean,
): BestAnswer & Pick<BuildAnswer, "changedBecause"> {
  if (!isLost)
    return {
      ...nothing,
      because: ["The answer is being worked out from the whole record."],
      changedBecause: [],
    };
  const asked = buildAsked(journal, { buildId });
  const rows = journal.attempts.evidenceOf(buildId);
  const workloads = [...asked.workloads.values()];
  const { points } = frontierOfAsked(journal, asked);
  return {
    ...plainAnswerOf({ points, rows, workloads, chip: asked.chip, use: asked.build.use }),
    changedBecause: [],
  };
}

const fitFailed =
  "The limit could not be fitted to this record just now; what is said here stands without it. All that is recorded is kept.";

const nothing: BestAnswer = {
  state: "too-little",
  setting: null,
  worthTrying: null,
  highestSeen: null,
  nearer: null,
  because: [],
  passedOver: [],
  perWatt: null,
};

const nothingTried = {
  ...nothing,
  because: ["Nothing has been tried on this build yet, so there is no setting to recommend."],
  reckoning: false,
  changedBecause: [],
};
