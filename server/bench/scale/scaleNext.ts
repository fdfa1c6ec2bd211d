import { provenFromS } from "../frontier/provenRuns.ts";
import { barring } from "../frontier/standingFailures.ts";
import type { TooLittle } from "../limit/limitFit.ts";
import { hasRun } from "../next/ladderDesk.ts";
import { leaveRunningAt, nearerOf } from "../next/moreToGain.ts";
import type { Proposal, Purpose } from "../next/nextAnswer.ts";
import { beyondOdd, isPassedOver, refusesAt } from "../next/nextDesk.ts";
import { forecastOn, proposalOf, purposeOf } from "../next/nextProposal.ts";
import { type TrialForecast, trialForecastsOf } from "../next/trialForecast.ts";
import type { Setting } from "../things/setting.ts";
import { type ScaleDesk, type ScaleQuestion, saysTooLittle, scaleDeskOf } from "./scaleDesk.ts";
import {
  becauseLevelLacksRun,
  becauseLevelSettled,
  becauseOfLevel,
  becauseTooFew,
  levelBarred,
  levelBeyondOdd,
  levelInWords,
  levelTooWarm,
  nothingAllowedOn,
} from "./scaleWords.ts";

/** A proposal at a level in place of a clock and a voltage; it is other parts of the chip that taught the start. */
export type LevelProposal = Readonly<{ level: number }> &
  Omit<Proposal, keyof Setting | "plan" | "planEndsSearch">;

/** What more bench time might bring, in the scale's own unit. */
export type NearerOnScale = Readonly<{ minutes: number; gain: number }>;

export type LevelSettled = Readonly<{
  settled: Readonly<{ level: number; chance: number }>;
  because: string;
  nearer: NearerOnScale | null;
  leaveRunning: Readonly<{ level: number; durationS: number; chanceOfPass: number; gain: number }> | null;
  blocked: readonly string[];
  taughtBy: readonly string[];
}>;

export type NextOnScale = LevelProposal | LevelSettled | TooLittle;

/** The attempt that tells most along a scale; once that is settled the run that the answer still lacks; then the answer. */
export function nextOnScale(question: ScaleQuestion): NextOnScale {
  const desk = scaleDeskOf(question);
  return desk === null ? nothingToStartFrom : nextFrom(desk);
}

const nothingToStartFrom: TooLittle = {
  state: "too-little",
  because: "There is no attempt yet.",
  needs: "Record a first attempt.",
};

function nextFrom(scaleDesk: ScaleDesk): NextOnScale {
  const { at, desk, question } = scaleDesk;
  const { answer, trial } = at;
  desk.blocked.push(...wantedAndBarred(scaleDesk));
  if (at.settled && answer.rung !== null) {
    const setting = at.ladder.settingAt(answer.rung);
    const ran = hasRun(desk, setting);
    if ((ran && !saysTooLittle(question)) || isPassedOver(desk, setting))
      return settledOn(scaleDesk, answer.rung);
    const [first] = trialForecastsOf(at.all, setting, [provenFromS / 60], desk.costs) as [TrialForecast];
    const because = (ran ? becauseTooFew : becauseLevelLacksRun)(
      wordsOf(scaleDesk, setting),
      answer.chance,
      desk.wanted,
    );
    return proposed(scaleDesk, first, "prove", because);
  }
  if (trial === null)
    return {
      state: "too-little",
      because: [nothingAllowedOn(question.scale.name), ...desk.blocked].join(" "),
      needs: "Take back what was passed over.",
    };
  const sure = forecastOn(desk, scaleDesk.at.all, trial);
  const purpose = purposeOf(desk, sure);
  const told = { level: wordsOf(scaleDesk, sure), minutes: sure.minutes, chanceOfPass: sure.chanceOfPass };
  return proposed(scaleDesk, sure, purpose, becauseOfLevel(told, purpose, answer, question.rows.length));
}

const wordsOf = ({ question, fitted }: ScaleDesk, { clockMhz }: Pick<Setting, "clockMhz">): string =>
  levelInWords(question.scale, fitted.layout.levelAt(clockMhz));

function proposed(
  { desk, fitted }: ScaleDesk,
  trial: TrialForecast,
  purpose: Purpose,
  because: string,
): LevelProposal {
  const {
    clockMhz,
    voltageMv: _voltage,
    plan: _plan,
    planEndsSearch: _ends,
    ...rest
  } = proposalOf(desk, trial, purpose, because);
  return { ...rest, level: fitted.layout.levelAt(clockMhz) };
}

function settledOn({ desk, at, levelOf, question, fitted }: ScaleDesk, rung: number): LevelSettled {
  const { step } = question.scale;
  const inLevels = (parts: number): number => tenths((parts / fitted.layout.stepParts) * step);
  const nearer = nearerOf(desk, at);
  const left = leaveRunningAt(desk, at);
  return {
    settled: { level: levelOf(rung), chance: at.answer.chance },
    because: becauseLevelSettled(levelInWords(question.scale, levelOf(rung)), at.answer, desk.wanted),
    nearer: nearer && { minutes: nearer.minutes, gain: inLevels(nearer.gainMhz ?? 0) },
    leaveRunning: left && {
      level: fitted.layout.levelAt(left.clockMhz),
      durationS: left.durationS,
      chanceOfPass: left.chanceOfPass,
      gain: inLevels(left.gainMhz ?? 0),
    },
    blocked: [...desk.blocked],
    taughtBy: desk.fit.taughtBy,
  };
}

const tenths = (value: number): number => Math.round(10 * value) / 10;

/** Just beyond what the limit may reach, where that may not be proposed: what stands in the way is said. */
function wantedAndBarred({ at, desk, question, fitted }: ScaleDesk): readonly string[] {
  if (at.answer.highest === null) return [];
  const setting = at.ladder.settingAt(Math.min(at.answer.highest + 1, at.ladder.hardest));
  if (!refusesAt(desk)(setting) || isPassedOver(desk, setting)) return [];
  const failure = barring(desk.failures, setting);
  const words = (parts: number): string => levelInWords(question.scale, fitted.layout.levelAt(parts));
  if (failure !== undefined) return [levelBarred(words(failure.clockMhz), failure)];
  const odd = beyondOdd(desk, setting);
  return odd === undefined
    ? [levelTooWarm(words(setting.clockMhz), question.hottestAmbientC)]
    : [levelBeyondOdd(words(odd.clockMhz), odd)];
}
