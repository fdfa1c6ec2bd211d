import {
  answerInWords,
  conditionsInWords,
  offsetsInWords,
  restsInWords,
  settingInWords,
} from "../bench/best/answerWords.ts";
import type { BestAnswer } from "../bench/best/bestSetting.ts";
import { lookedAt, type Trial } from "../bench/frontier/evidence.ts";
import type { LimitAnswer } from "../bench/limit/limitCurve.ts";
import { aimInWords, type Goal } from "../bench/things/aim.ts";
import { invalid, missing } from "../bench/things/refusal.ts";
import { asSetWords } from "../bench/things/setting.ts";
import type { UnitOfClock } from "../bench/things/words.ts";
import type {
  Account,
  AccountedBuild,
  AccountedHeat,
  AccountedPicture,
  Recommendation,
} from "../bench/writeUp/account.ts";
import { inWords } from "../bench/writeUp/figures.ts";
import { askedBesides, type StatedUse, statedUseWords } from "../bench/writeUp/statedUse.ts";
import { warningsTold } from "../bench/writeUp/warningsTold.ts";
import type { Journal } from "../store/file/journal.ts";
import { answerOf, type BuildAnswer, settledAnswerOf } from "./answerOf.ts";
import { type BuildAtHand, buildAsked } from "./buildAsked.ts";
import { compareBuilds } from "./compareBuilds.ts";
import { type FittedLimits, fittedLimits, latestLimits } from "./fittedLimits.ts";
import { frontierOfAsked } from "./frontierOfBuild.ts";
import { type HeatCurves, heatCurves, latestHeatCurves, type TracedHeat } from "./heatCurves.ts";
import type { HeatRooms } from "./heatReckoned.ts";
import { answerTo, bestQuestion, latestAnswerTo, limitQuestion } from "./limitOfBuild.ts";
import { equalLoudnessWords } from "./noiseOfBuild.ts";

export type AccountQuestion = Readonly<{
  /** The first is the one that each other is compared with. */
  buildIds: readonly string[];
  use: StatedUse;
  /** When it is asked. */
  now: string;
  /** Whether the journal is an invented one, which the account then says. */
  invented: boolean;
}>;

/** What the charts of one build are drawn from. */
type DrawnBuild = Readonly<{
  trials: readonly Trial[];
  ceilingMv: number | null;
  limit: LimitAnswer | null;
}>;

export type AccountAnswer = Readonly<{
  account: Account;
  drawn: readonly DrawnBuild[];
  heat: readonly TracedHeat[];
  /** False where something is still being fitted. */
  fresh: boolean;
}>;

export const mostBuildsTold = 6;

/** Names an account, so that the writer's own words find it again. */
export const accountKey = (buildIds: readonly string[]): string => buildIds.join(",");

/** What takes a fit: each build's limit and best setting, and the limits that each comparison rests on. */
type Fits = Readonly<{
  limits: readonly (LimitAnswer | null)[];
  answers: readonly BuildAnswer[];
  /** For a use that is not what the build is after; null where it is. */
  best: readonly (BestAnswer | null)[];
  compared: readonly FittedLimits[];
  heat: HeatCurves;
}>;

/** The account on the journal as it is; waits for the fits. */
export async function accountOf(rooms: HeatRooms, question: AccountQuestion): Promise<AccountAnswer> {
  const { journal, reckonings } = rooms;
  const asked = askedIn(journal, question);
  const { limit, best, pairs } = fitQuestions(journal, question, asked);
  const [limits, settings, compared] = await Promise.all([
    Promise.all(limit.map((one) => answerTo(reckonings, one))),
    Promise.all(best.map((one) => one && answerTo(reckonings, one))),
    Promise.all(pairs.map((pair) => fittedLimits(journal, reckonings, pair))),
  ]);
  const answers = await Promise.all(asked.map(({ build }) => settledAnswerOf(journal, reckonings, build.id)));
  const heat = await heatCurves(rooms, question.buildIds);
  const fits = { limits, answers, best: settings, compared, heat };
  return { ...written(journal, question, asked, fits), fresh: true };
}

/** The account with the fits as last known, at once, and whether they are those of the journal as it is. */
export function latestAccountOf(rooms: HeatRooms, question: AccountQuestion): AccountAnswer {
  const { journal, reckonings } = rooms;
  const asked = askedIn(journal, question);
  const { limit, best, pairs } = fitQuestions(journal, question, asked);
  const limits = limit.map((one) => latestAnswerTo(reckonings, one));
  const settings = best.map((one) => one && latestAnswerTo(reckonings, one));
  const answers = asked.map(({ build }) => answerOf(journal, reckonings, build.id));
  const compared = pairs.map((pair) => latestLimits(journal, reckonings, pair));
  const fits = {
    limits: limits.map((latest) => latest?.answer ?? null),
    answers,
    best: settings.map((latest) => latest?.answer ?? null),
    compared: compared.map((latest) => latest.limits),
    heat: latestHeatCurves(rooms, question.buildIds),
  };
  const askedOfFit = [...limits, ...settings.filter((_, i) => best[i] !== null), ...compared];
  const fresh =
    askedOfFit.every((latest) => latest?.fresh === true) &&
    answers.every(({ reckoning }) => !reckoning) &&
    fits.heat.fresh;
  return { ...written(journal, question, asked, fits), fresh };
}

/** Every build by the rule of the first, so that what is compared was judged alike. */
function askedIn(journal: Journal, { buildIds }: AccountQuestion): BuildAtHand[] {
  const [first] = buildIds;
  if (first === undefined) throw invalid("Choose at least one build.", { builds: "Choose at least one." });
  if (buildIds.length > mostBuildsTold)
    throw invalid(`An account tells of at most ${mostBuildsTold} builds.`, {
      builds: `Choose at most ${mostBuildsTold}.`,
    });
  const { rule } = buildAsked(journal, { buildId: first });
  return buildIds.map((buildId) => buildAsked(journal, { buildId, ruleId: rule.id }));
}

function fitQuestions(journal: Journal, { use }: AccountQuestion, asked: readonly BuildAtHand[]) {
  const fitted = asked.map(({ build }) => ({ buildId: build.id, workloadId: null }));
  const [first, ...others] = asked;
  return {
    limit: fitted.map((one) => limitQuestion(journal, { ...one, ruleId: null })),
    best: asked.map(({ build, rule }, i) => {
      const besides = askedBesides(use, build);
      return besides && bestQuestion(journal, { ...fitted[i]!, ruleId: rule.id, ...besides });
    }),
    pairs: others.map(({ build, rule }) => ({ a: first?.build.id ?? "", b: build.id, ruleId: rule.id })),
  };
}

function written(
  journal: Journal,
  question: AccountQuestion,
  asked: readonly BuildAtHand[],
  fits: Fits,
): Omit<AccountAnswer, "fresh"> {
  const [first, ...others] = asked as [BuildAtHand, ...BuildAtHand[]];
  const nameOf = ({ build }: BuildAtHand): string => build.name;
  const account: Account = {
    title: titleOf(asked.map(nameOf)),
    notice: question.invented ? "Everything here was made up: people, makers, parts and figures." : null,
    asOf: question.now,
    use: question.use,
    builds: asked.map((one) => accountedBuild(journal, one)),
    rule: first.rule,
    workloads: first.workloads,
    comparisons: others.map((other, i) => ({
      aName: nameOf(first),
      bName: nameOf(other),
      comparison: compareBuilds(
        journal,
        { a: first.build.id, b: other.build.id, ruleId: first.rule.id },
        fits.compared[i],
      ),
      equalLoudness: equalLoudnessWords(journal, first.build, other.build),
    })),
    heat: accountedHeat(asked, fits.heat),
    answers: asked.map((one, i) => ({ buildName: nameOf(one), answer: fits.answers[i]! })),
    recommendations: asked.flatMap((one, i) =>
      recommendationsFor(one, question.use, fits.answers[i]!, fits.best[i]),
    ),
    pictures: asked.flatMap((one) => picturesOf(journal, one, asked.length > 1)),
    own: journal.writeUpWords.of(accountKey(question.buildIds)),
  };
  const drawn = asked.map((one, i) => drawnBuild(journal, one, fits.limits[i] ?? null));
  return { account, drawn, heat: fits.heat.curves };
}

function accountedHeat(asked: readonly BuildAtHand[], { curves }: HeatCurves): AccountedHeat | null {
  const [first] = curves;
  if (first === undefined) return null;
  const { chip, workloads } = asked[0]!;
  const has = (buildId: string): boolean => curves.some(({ attempt }) => attempt.buildId === buildId);
  const nameOf = (buildId: string): string => asked.find(({ build }) => build.id === buildId)!.build.name;
  const load = workloads.get(first.attempt.workloadId)?.name ?? "a load since removed";
  return {
    setting: `${asSetWords(first.attempt, chip)} under ${load}`,
    asRise: curves.every(({ run }) => run.ambientC !== null),
    runs: curves.map(({ attempt, run }) => ({ buildName: nameOf(attempt.buildId), run })),
    without: asked.filter(({ build }) => !has(build.id)).map(({ build }) => build.name),
  };
}

/** What the build is after comes first; another use asked for follows, and is called that. */
function recommendationsFor(
  { build, chip }: BuildAtHand,
  use: StatedUse,
  answer: BuildAnswer,
  besides: BestAnswer | null | undefined,
): Recommendation[] {
  const own = {
    buildName: build.name,
    use: `for what it is after, ${aimInWords(answer.aim, chip.axis)}`,
    setting: answer.setting,
    set: answer.byOffset && offsetsInWords(answer.byOffset),
    because: [
      answerInWords(answer, chip.clockUnit),
      ...[conditionsInWords(answer)].filter(Boolean),
      ...reasonsIn(
        { ...answer, because: reasonsBesides(answer, chip.clockUnit) },
        answer.aim.goal,
        chip.clockUnit,
      ),
    ],
  };
  if (!besides) return [own];
  const other = {
    buildName: build.name,
    use: `${statedUseWords[use]}, which is not what it is after`,
    setting: besides.setting,
    because: reasonsIn(besides, askedBesides(use, answer.aim)?.goal, chip.clockUnit),
  };
  return [own, other];
}

/** What the answer's own sentence has said, the setting and how often its hours pass, is not said again. */
function reasonsBesides(
  { setting, because, restsOn, byOffset }: BuildAnswer,
  unit: UnitOfClock,
): readonly string[] {
  const saidOfAll = byOffset !== null && offsetsInWords(byOffset) !== null ? byOffset.because : [];
  if (setting === null) return because.filter((reason) => !saidOfAll.includes(reason));
  const isSaid = (reason: string): boolean =>
    reason.startsWith(settingInWords(setting, unit)) || reason.includes(" there pass");
  const others = because.filter((reason) => !isSaid(reason));
  return others.length === because.length ? because : [`From ${restsInWords(restsOn)}.`, ...others];
}

const reasonsIn = (
  { because, passedOver }: Pick<BestAnswer, "because" | "passedOver">,
  goal: Goal | undefined,
  unit: UnitOfClock,
): string[] => [
  ...because,
  ...(goal === "clock" ? passedOver.slice(0, 1).map((one) => passedOverWords(one, unit)) : []),
];

const passedOverWords = ({ setting, because }: BestAnswer["passedOver"][number], unit: UnitOfClock): string =>
  `Passed over is ${settingInWords(setting, unit)}. ${because}`;

function titleOf(names: readonly string[]): string {
  const [first = "", ...others] = names;
  return others.length === 0 ? `${first}: how far it goes` : `${first} against ${inWords(others)}`;
}

function accountedBuild(journal: Journal, asked: BuildAtHand): AccountedBuild {
  const { build, chip } = asked;
  const board = journal.boards.find(build.boardId);
  if (!board) throw missing("board");
  const frontier = frontierOfAsked(journal, asked);
  return {
    build,
    chip,
    board,
    mounts: journal.mounts.pageOf(build.id, { limit: 500, after: null }).items,
    versions: journal.versions.allOf(build.id),
    runs: journal.attempts
      .allOf(build.id)
      .filter(({ setAside, outcome }) => setAside === null && outcome !== "running"),
    noise: journal.noise.pageOf(build.id, { limit: 500, after: null }).items,
    points: frontier.points,
    byOffset: frontier.byOffset ?? null,
    warnings: warningsTold(frontier.warnings),
  };
}

/** Those of what is gone are left out. */
function picturesOf(journal: Journal, { build }: BuildAtHand, isOneOfMany: boolean): AccountedPicture[] {
  return journal.pictures
    .of("builds", build.id)
    .filter(
      ({ mountId, attemptId }) =>
        (mountId === null || journal.mounts.find(mountId)) &&
        (attemptId === null || journal.attempts.find(attemptId)),
    )
    .map(({ id, caption, widthPx, heightPx }) => {
      const words = caption || "Picture";
      return { id, caption: isOneOfMany ? `${build.name}: ${words}` : words, widthPx, heightPx };
    });
}

function drawnBuild(
  journal: Journal,
  { build, chip, workloads }: BuildAtHand,
  limit: LimitAnswer | null,
): DrawnBuild {
  const { trials } = lookedAt(journal.attempts.evidenceOf(build.id), workloads, null);
  return { trials, ceilingMv: chip.voltageCeilingMv, limit };
}
