import type { BestAnswer, BestQuestion } from "../bench/best/bestSetting.ts";
import { lessBarred } from "../bench/best/lessBarred.ts";
import { plainAnswerOf } from "../bench/best/plainAnswer.ts";
import { loadedRows } from "../bench/limit/limitEvidence.ts";
import type { BuildAim } from "../bench/things/aim.ts";
import type { Journal } from "../store/file/journal.ts";
import { attemptsSince, type Mover, moversSince } from "./answerGrounds.ts";
import { type BuildAsked, buildAsked } from "./buildAsked.ts";
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
    /** What is on record of the build under load. */
    restsOn: Readonly<{ attempts: number; longestS: number }>;
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
  const rows = loadedRows(journal.attempts.evidenceOf(buildId), [...asked.workloads.values()]);
  const longestS = rows.reduce((longest, { durationS }) => Math.max(longest, durationS), 0);
  const told = rows.length === 0 ? nothingTried : toldOf(journal, reckonings, asked, aim);
  return { ...told, aim, restsOn: { attempts: rows.length, longestS } };
}

type Told = BestAnswer & Pick<BuildAnswer, "reckoning" | "changedBecause">;

function toldOf(journal: Journal, reckonings: Reckonings, asked: BuildAsked, aim: BuildAim): Told {
  const buildId = asked.build.id;
  const question = bestQuestion(journal, { buildId, ...aim });
  const latest = latestAnswerTo(reckonings, question);
  if (latest?.fresh) {
    const { answer, changedBecause } = keepLanded(journal, buildId, aim, latest.answer, () =>
      question.request(reckonings),
    );
    return { ...answer, reckoning: false, changedBecause };
  }
  const kept = keptAnswerOf(journal, buildId, aim);
  const isLost = reckonings.hasFailed(question.kind, question.key);
  const told =
    kept === null ? beforeAnyFit(journal, asked, isLost) : sinceKept(kept, question.request(reckonings));
  return isLost ? { ...told, because: [fitFailed, ...told.because] } : told;
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

function sinceKept({ answer, changedBecause, grounds }: KeptAnswer, question: BestQuestion): Told {
  const since = new Set(attemptsSince(question, grounds).map(({ id }) => id));
  const reduced = lessBarred(answer, since, question);
  const isMoved = reduced.setting !== answer.setting;
  return {
    ...reduced,
    reckoning: true,
    changedBecause: isMoved ? moversSince(question, grounds) : changedBecause,
  };
}

/** Where no fit has answered yet nothing is said; where none can, what holds by the rule alone. */
function beforeAnyFit(journal: Journal, asked: BuildAsked, isLost: boolean): Told {
  if (!isLost) return { ...nothing, because: [notYet], reckoning: true, changedBecause: [] };
  const { build, chip } = asked;
  const rows = journal.attempts.evidenceOf(build.id);
  const workloads = [...asked.workloads.values()];
  const { points } = frontierOfAsked(journal, asked);
  const plain = plainAnswerOf({ points, rows, workloads, chip, use: build.use });
  return { ...plain, reckoning: true, changedBecause: [] };
}

const notYet = "The answer is being worked out from the whole record.";
const fitFailed =
  "The limit could not be fitted to this record just now; what is said here stands without it. All that is recorded is kept.";

const nothing: BestAnswer = {
  state: "too-little",
  setting: null,
  worthTrying: null,
  highestSeen: null,
  nearer: null,
  sharpness: null,
  atVoltages: [],
  because: [],
  passedOver: [],
  perWatt: null,
};

const nothingTried: Told = {
  ...nothing,
  because: ["Nothing has been tried on this build yet, so there is no setting to recommend."],
  reckoning: false,
  changedBecause: [],
};
