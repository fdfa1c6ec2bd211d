import { ranAsSet } from "../frontier/evidence.ts";
import { marginReadAt } from "../frontier/margin.ts";
import { provenFromS } from "../frontier/provenRuns.ts";
import { contesting, heavinessIn } from "../frontier/standingFailures.ts";
import { loadedRows } from "../limit/limitEvidence.ts";
import { limitFitOf } from "../limit/limitFit.ts";
import { chanceOfHours } from "../limit/limitReach.ts";
import { toldOfPrior } from "../limit/sharpness.ts";
import { voltageLookedAt } from "../next/coolVoltage.ts";
import { ladderAnswerOf } from "../next/ladderAnswer.ts";
import { hasRun, ladderAtVoltage, ladderDeskOf } from "../next/ladderDesk.ts";
import { nearerOf } from "../next/moreToGain.ts";
import { isRuledOutAt } from "../next/nextDesk.ts";
import { trialForecastsOf } from "../next/trialForecast.ts";
import { loadTempAt, marginAt, whateverTheHeat, whyTooWarm } from "../next/warmth.ts";
import type { Goal } from "../things/aim.ts";
import { outcomeClass } from "../things/outcome.ts";
import type { Setting } from "../things/setting.ts";
import { knobsOfSetting } from "../things/timings.ts";
import { answersAtVoltages } from "./answersAtVoltages.ts";
import {
  type AnswerState,
  type BestAnswer,
  type BestDesk,
  type BestQuestion,
  bestDeskOf,
  type RecommendedSetting,
} from "./bestDesk.ts";
import { noneBecause, passedOverOf, reasonsFor } from "./bestReasons.ts";
import { highestSeenOf, objectionTo } from "./highestSeen.ts";
import { mostPerWattBetween, type PerWatt, type PerWattBasis } from "./perWatt.ts";

export type {
  BestAnswer,
  BestQuestion,
  VoltageAnswer,
} from "./bestDesk.ts";

export function bestSettingOf(question: BestQuestion): BestAnswer {
  const rows = loadedRows(question.rows, question.workloads);
  const survived = rows.filter(({ outcome }) => outcomeClass(outcome) === "pass");
  const fit = survived.length === 0 ? null : limitFitOf(question);
  if (fit === null) return nothingHeld;
  const desk = bestDeskOf(question, fit);
  const isFitted = rows.length >= 3;
  const candidates = isFitted ? fittedCandidates(desk) : heldCandidates(desk);
  const judged = candidates.map((candidate) => ({ candidate, against: objectionTo(candidate, desk) }));
  const fits = judged.filter(({ against }) => against === null).map(({ candidate }) => candidate);
  const best = [...fits].sort(betterFor(question.goal, desk))[0] ?? null;
  return {
    setting: best,
    ...(isFitted ? searchedAt(desk, best) : notSearched),
    atVoltages: isFitted ? answersAtVoltages(desk, judgingOn(desk)) : [],
    highestSeen: highestSeenOf(best, desk),
    sharpness: toldOfPrior(fit.sharpness),
    because: best === null ? [noneBecause(desk, isFitted)] : reasonsFor(best, desk),
    passedOver: passedOverOf(judged, best, desk),
    perWatt: desk.perWatt && basisOf(desk.perWatt),
  };
}

const judgingOn = (desk: BestDesk) => ({
  settingsAt: (voltageMv: number) => {
    const topMhz = topAt(desk, voltageMv);
    if (topMhz === null) return null;
    const at = (clockMhz: number) => described({ clockMhz, voltageMv }, desk, "fitted");
    return { highest: at(topMhz), coolEnough: at(coolEnoughUnder(desk, voltageMv, topMhz)) };
  },
  objectionTo: (setting: RecommendedSetting): string | null => objectionTo(setting, desk),
});

const basisOf = ({ of, workloadId, scoreUnit, powerRead, because }: PerWatt): PerWattBasis => ({
  of,
  workloadId,
  scoreUnit,
  powerRead,
  because,
});

const notSearched = { state: "too-little", worthTrying: null, nearer: null } as const;

const nothingHeld: BestAnswer = {
  setting: null,
  ...notSearched,
  atVoltages: [],
  highestSeen: null,
  sharpness: null,
  because: ["Nothing has passed on this build yet, so there is no setting to recommend."],
  passedOver: [],
  perWatt: null,
};

/**
 * At every voltage tried and every step between: the highest clock that ran and passes its hours with the chance asked,
 * the stock clock below it, and between them the one that gives most per watt where that is the goal.
 */
function fittedCandidates(desk: BestDesk): RecommendedSetting[] {
  return voltagesOn(desk).flatMap((voltageMv) => {
    const top = topAt(desk, voltageMv);
    return top === null
      ? []
      : clocksWanted(desk, voltageMv, top)
          .filter((clockMhz) => clockMhz > 0)
          .map((clockMhz) => described({ clockMhz, voltageMv }, desk, "fitted"));
  });
}

/** The highest clock at a voltage that ran, that nothing contests and whose hours pass with the chance asked, however warm. */
function topAt(desk: BestDesk, voltageMv: number): number | null {
  const { draws, evidence } = desk;
  const { wanted, proven } = evidence;
  const isContested = (setting: Setting): boolean => contesting(evidence.failures, setting) !== undefined;
  const does = (clockMhz: number): boolean =>
    chanceOfHours(draws, { clockMhz, voltageMv }, wanted.hours) >= wanted.chance &&
    !isContested({ clockMhz, voltageMv });
  const ranMhz = proven.topMhz(voltageMv);
  if (ranMhz === null) return null;
  if (wasSet(desk, ranMhz) && does(ranMhz)) return ranMhz;
  const ladder = ladderAtVoltage(voltageMv, evidence.hazard)(whateverTheHeat(evidence));
  const { rung } = ladderAnswerOf(
    ladder,
    draws,
    wanted,
    (setting) => isContested(setting) || setting.clockMhz > ranMhz,
  );
  return rung === null ? null : ladder.settingAt(rung).clockMhz;
}

const wasSet = ({ question }: BestDesk, ranMhz: number): boolean =>
  question.rows.some((row) => row.clockMhz === ranMhz && ranAsSet(row));

function clocksWanted(desk: BestDesk, voltageMv: number, topMhz: number): number[] {
  const { question, perWatt } = desk;
  const { stockClockMhz } = question.chip;
  const highest = [topMhz, coolEnoughUnder(desk, voltageMv, topMhz)];
  if (stockClockMhz === null || stockClockMhz >= topMhz) return [...new Set(highest)];
  const grid = { fromMhz: stockClockMhz, toMhz: topMhz, chip: question.chip };
  const middle = perWatt === null ? [] : [mostPerWattBetween(perWatt, voltageMv, grid)];
  return [...new Set([...highest, ...middle, stockClockMhz])];
}

/** The highest clock up to one that ran which is cool enough too; that one where none below is. */
function coolEnoughUnder({ evidence }: BestDesk, voltageMv: number, topMhz: number): number {
  if (whyTooWarm(evidence.warmth, { clockMhz: topMhz, voltageMv }) === null) return topMhz;
  const { settingAt, mostByHeat } = ladderAtVoltage(voltageMv, evidence.hazard)(evidence);
  return mostByHeat === Number.POSITIVE_INFINITY ? topMhz : Math.min(topMhz, settingAt(mostByHeat).clockMhz);
}

const heldCandidates = (desk: BestDesk): RecommendedSetting[] =>
  (desk.question.held ?? [])
    .filter((setting) => hasRun(desk.evidence, setting))
    .map((setting) => described(setting, desk, "held"));

const mostVoltages = 60;

function voltagesOn({ question, triedMv }: BestDesk): number[] {
  const [low, high] = [triedMv[0]!, triedMv.at(-1)!];
  const { voltageStepMv } = question.chip;
  const step = voltageStepMv * Math.max(1, Math.ceil((high - low) / (mostVoltages * voltageStepMv)));
  const between = Array.from({ length: Math.floor((high - low) / step) + 1 }, (_, i) => low + i * step);
  return [...new Set([...between, ...triedMv].map((mv) => Math.round(mv * 1000) / 1000))].sort(
    (a, b) => a - b,
  );
}

/** A proved setting as it is told: with the owner's guard in its voltage, where the use asks for one. */
function described(proved: Setting, desk: BestDesk, from: RecommendedSetting["from"]): RecommendedSetting {
  const { question, workloadId, draws, evidence } = desk;
  const { clockMhz } = proved;
  const voltageMv = proved.voltageMv + evidence.warmth.guardMv;
  const { hours } = evidence.wanted;
  const setting = { clockMhz, voltageMv };
  const loadTempC = loadTempOf(setting, desk);
  const isFitted = from === "fitted";
  return {
    ...setting,
    workloadId,
    knobs: knobsOfSetting(question.chip, question.rows.at(-1)?.knobs ?? null),
    chance: isFitted ? chanceOfHours(draws, proved, hours) : null,
    hours,
    ranS: evidence.proven.longestS(proved),
    guarded: evidence.warmth.guardMv > 0,
    loadTempC,
    ...toldMargin(setting, loadTempC, desk),
    powerW: desk.power?.wattsAt(clockMhz, voltageMv) ?? null,
    score: desk.perWatt?.scoreAt(clockMhz) ?? null,
    scorePerW: desk.perWatt?.scorePerWAt(setting) ?? null,
    from,
  };
}

/** A reading comes before a forecast, once it had time to level out and under a load that heats as much as the one answered for. */
function toldMargin(
  setting: Setting,
  loadTempC: RecommendedSetting["loadTempC"],
  { question, evidence, workloadId }: BestDesk,
): Pick<RecommendedSetting, "marginC" | "marginFrom"> {
  const isAsHeavy = heavinessIn(question.workloads);
  const rows = loadedRows(question.rows, question.workloads).filter(
    (row) => workloadId === null || isAsHeavy(row.workloadId, workloadId),
  );
  const { marginC, tooShort } = marginReadAt(rows, setting, question.chip, question.hottestAmbientC);
  if (marginC !== null && !tooShort) return { marginC, marginFrom: "read" };
  return loadTempC === null
    ? { marginC: null, marginFrom: null }
    : { marginC: marginAt(evidence.warmth, loadTempC.mid), marginFrom: "forecast" };
}

function loadTempOf(setting: Setting, { evidence }: BestDesk): RecommendedSetting["loadTempC"] {
  const forecast = loadTempAt(evidence.warmth, setting);
  return forecast && { mid: forecast.mid, low: forecast.low, high: forecast.high };
}

type Searched = Pick<BestAnswer, "state" | "worthTrying" | "nearer">;

/** How far the search is at the voltage of the answer; where there is none yet, at the voltage tried last. */
function searchedAt(desk: BestDesk, best: RecommendedSetting | null): Searched {
  const { evidence, question } = desk;
  const last = loadedRows(question.rows, question.workloads).at(-1)!;
  const searchedMv = best === null ? last.voltageMv : best.voltageMv - evidence.warmth.guardMv;
  // What stands in the way of the voltage itself is said where the next attempt is proposed.
  const voltageMv = voltageLookedAt({ ...evidence, blocked: [] }, searchedMv);
  const at = ladderDeskOf(evidence, ladderAtVoltage(voltageMv, evidence.hazard));
  const { rung } = at.answer;
  const isProved = rung !== null && hasRun(evidence, at.ladder.settingAt(rung));
  const state: AnswerState = !at.settled ? "looking" : isProved ? "done" : "enough";
  return {
    state,
    worthTrying: worthTryingOf(desk, best),
    nearer: nearerOf(evidence, at),
  };
}

/** At the voltages tried: the highest clock that likely is a better answer and has not run yet. */
function worthTryingOf(desk: BestDesk, best: RecommendedSetting | null): BestAnswer["worthTrying"] {
  const { evidence, draws, question } = desk;
  if (question.goal !== "clock") return null;
  const better = desk.triedMv
    .flatMap((voltageMv) => {
      const ladder = ladderAtVoltage(voltageMv, evidence.hazard)(evidence);
      const { rung } = ladderAnswerOf(ladder, draws, evidence.wanted, isRuledOutAt(evidence));
      return rung === null ? [] : [ladder.settingAt(rung)];
    })
    .filter((setting) => setting.clockMhz > (best?.clockMhz ?? 0) && !hasRun(evidence, setting))
    .map((setting) => ({ setting, told: described(setting, desk, "fitted") }))
    .filter(({ told }) => objectionTo(told, desk) === null)
    .sort((a, b) => b.setting.clockMhz - a.setting.clockMhz)[0];
  if (better === undefined) return null;
  const [trial] = trialForecastsOf(draws, better.setting, [provenFromS / 60], evidence.costs);
  return { ...better.told, chanceOfPass: trial?.chanceOfPass ?? 0 };
}

/** Two settings that give as much per watt, up to rounding, are told apart by their clocks. */
const sameShare = 1e-9;

function betterFor(goal: Goal, desk: BestDesk): (a: RecommendedSetting, b: RecommendedSetting) => number {
  // Where no power is known of any, by what switches: it goes as the clock and as the voltage squared.
  const draws = ({ powerW, voltageMv, clockMhz }: RecommendedSetting): number =>
    powerW ?? voltageMv ** 2 * clockMhz;
  const stock = desk.question.chip.stockClockMhz ?? 0;
  switch (goal) {
    case "clock":
      return (a, b) => b.clockMhz - a.clockMhz || a.voltageMv - b.voltageMv;
    case "efficiency":
      return (a, b) => {
        const [ofA, ofB] = [desk.perWatt?.at(a) ?? 0, desk.perWatt?.at(b) ?? 0];
        return Math.abs(ofA - ofB) <= sameShare * ofA ? b.clockMhz - a.clockMhz : ofB - ofA;
      };
    case "cool":
      return (a, b) =>
        Number(b.clockMhz >= stock) - Number(a.clockMhz >= stock) ||
        draws(a) - draws(b) ||
        a.voltageMv - b.voltageMv;
  }
}
