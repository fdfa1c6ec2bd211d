import { resampled } from "../numerics/particles.ts";
import { acceptableHazardPerMinute, type Target, targetOfUse } from "./acceptance.ts";
import { type AttemptBounds, attemptBoundsOf, clockStepsBeyond } from "./attemptBounds.ts";
import { type BenchCosts, usualBenchCosts } from "./benchCosts.ts";
import {
  bestTrialOf,
  clockLadder,
  type Ladder,
  type LadderAnswer,
  ladderAnswerOf,
  type RatedTrial,
  voltageLadder,
  worthwhilePerMinute,
} from "./ladder.ts";
import { loadedRows } from "./limitEvidence.ts";
import { type LimitContext, type LimitFit, limitFitOf } from "./limitFit.ts";
import { stockCrashNote } from "./limitFrame.ts";
import { clocksAtHazard, type LimitDraws, limitDrawsOf, voltagesForClock } from "./limitReach.ts";
import {
  becauseOfLadderTrial,
  becauseOfMapTrial,
  becauseOfProof,
  becauseSettledAtClock,
  becauseSettledAtVoltage,
  becauseSettledMap,
  tooHotNote,
} from "./nextWords.ts";
import { type TrialForecast, trialForecastsOf, trialMinutes } from "./trialForecast.ts";
import { bestMapTrialOf, type MapPoint, mapPointsOf } from "./voltageMap.ts";
import { megahertz, volts } from "./words.ts";

export type NextQuestion = LimitContext &
  Readonly<{
    /** Stay at this voltage. */
    voltageMv?: number | null;
    /** Look for the lowest voltage that holds this clock. */
    clockMhz?: number | null;
    /** Map the limit over these voltages; with none of the three, over the voltages already tried. */
    voltagesMv?: readonly number[] | null;
    /** Bench time there is; plans a sequence within it. */
    minutes?: number | null;
    workloadId?: string | null;
    costs?: Partial<BenchCosts>;
    /** Settings the tester passed over. */
    passedOver?: readonly Setting[];
    target?: Target;
  }>;

export type Setting = Readonly<{ clockMhz: number; voltageMv: number }>;
export type Purpose = "screen" | "prove" | "resolve" | "map";

export type Proposal = Setting &
  Readonly<{
    workloadId: string | null;
    durationS: number;
    purpose: Purpose;
    chanceOfPass: number;
    expectedMinutes: number;
    expectedTempC: Readonly<{ mid: number; low: number; high: number }> | null;
    because: string;
    /** What was wanted and may not be proposed, or a caution the tester should hear first. */
    blocked: readonly string[];
    /** With `minutes`: what would follow if each attempt passes, as far as the time goes. */
    plan: readonly PlannedAttempt[] | null;
  }>;

export type PlannedAttempt = Setting &
  Readonly<{ durationS: number; expectedMinutes: number; chanceOfPass: number }>;

export type MappedLimit = Readonly<{
  voltageMv: number;
  clockMhz: number;
  lowMhz: number;
  highMhz: number;
}>;

export type Settled = Readonly<{
  settled:
    | Readonly<{ clockMhz: number; chance: number }>
    | Readonly<{ voltageMv: number; chance: number }>
    | Readonly<{ map: readonly MappedLimit[] }>;
  because: string;
  /** A long run that would prove the answer, null where one is on record. */
  proof: Proposal | null;
}>;

export type TooLittle = Readonly<{ state: "too-little"; because: string; needs: string }>;
export type NextAnswer = Proposal | Settled | TooLittle;

/** So many draws are enough to weigh proposals. */
const planningDraws = 400;
const mapDraws = 300;

export function nextAttemptOf(question: NextQuestion): NextAnswer {
  const fit = limitFitOf(question);
  if (fit === null) return nothingToStartFrom;
  return nextFromFit(question, fit);
}

const nothingToStartFrom: TooLittle = {
  state: "too-little",
  because: "There is no attempt yet, and the chip's stock clock and voltage are not entered.",
  needs: "Enter the stock clock and voltage of the chip, or record a first attempt.",
};

type Desk = Readonly<{
  question: NextQuestion;
  fit: LimitFit;
  workloadId: string | null;
  hazard: number;
  costs: BenchCosts;
  bounds: AttemptBounds;
  blocked: string[];
}>;

export function nextFromFit(question: NextQuestion, fit: LimitFit): NextAnswer {
  const desk: Desk = {
    question,
    fit,
    workloadId: question.workloadId ?? fit.heaviestId,
    hazard: acceptableHazardPerMinute(question.target ?? targetOfUse.benchmark),
    costs: { ...usualBenchCosts, ...question.costs },
    bounds: attemptBoundsOf(question.chip, loadedRows(question.rows, question.workloads)),
    blocked: [
      ...fit.frame.notes,
      stockCrashNote(fit.frame, loadedRows(question.rows, question.workloads)) ?? [],
    ].flat(),
  };
  if (question.voltageMv != null) return atOneVoltage(desk, question.voltageMv);
  if (question.clockMhz != null) return atOneClock(desk, question.clockMhz);
  const wanted = question.voltagesMv ?? [];
  const voltages = [...new Set(wanted.length > 0 ? wanted : voltagesTried(desk))].sort((a, b) => a - b);
  return overVoltages(desk, voltages);
}

function voltagesTried({ question, fit }: Desk): number[] {
  const tried = loadedRows(question.rows, question.workloads).map(({ voltageMv }) => voltageMv);
  return tried.length > 0 ? tried : [fit.frame.voltageMv];
}

function atOneVoltage(desk: Desk, askedMv: number): NextAnswer {
  const voltageMv = allowedVoltage(desk, askedMv);
  const ladder = (at: Desk): Ladder =>
    clockLadder(voltageMv, clockGrid(at), (draws) => clocksAtHazard(draws, voltageMv, desk.hazard));
  return onLadder(desk, ladder, ({ clockMhz }, answer) => ({
    settled: { clockMhz, chance: answer.chance },
    because: becauseSettledAtVoltage({ clockMhz, voltageMv }, answer),
  }));
}

function atOneClock(desk: Desk, askedMhz: number): NextAnswer {
  const clockMhz = allowedClock(desk, askedMhz);
  const { chip } = desk.question;
  const highestMv = desk.bounds.highestMv ?? desk.fit.frame.voltageMv;
  const lowestMv = Math.max(100, 0.5 * Math.min(highestMv, desk.fit.frame.voltageMv));
  const ladder = voltageLadder(
    clockMhz,
    { originMv: chip.stockVoltageMv ?? 0, stepMv: chip.voltageStepMv, highestMv, lowestMv },
    (draws) => voltagesForClock(draws, clockMhz, desk.hazard, { lowMv: lowestMv, highMv: highestMv }),
  );
  return onLadder(
    desk,
    () => ladder,
    ({ voltageMv }, answer) => ({
      settled: { voltageMv, chance: answer.chance },
      because: becauseSettledAtClock({ clockMhz, voltageMv }, answer),
    }),
  );
}

/** Settled, or the attempt that tells most; an answer in hand that no attempt would soon change is settled too. */
function onLadder(
  desk: Desk,
  ladderOf: (desk: Desk) => Ladder,
  settledAt: (setting: Setting, answer: LadderAnswer) => Omit<Settled, "proof">,
): NextAnswer {
  const ladder = ladderOf(desk);
  const all = limitDrawsOf(desk.fit, desk.fit.draws, desk.workloadId);
  const answer = ladderAnswerOf(ladder, all);
  const settled = (rung: number): Settled => {
    const setting = ladder.settingAt(rung);
    return { ...settledAt(setting, answer), proof: proofOf(desk, all, setting) };
  };
  if (answer.rung !== null && answer.settled) return settled(answer.rung);
  const few = limitDrawsOf(desk.fit, resampled(desk.fit.draws, planningDraws, 0.5), desk.workloadId);
  const choice: Choice<RatedTrial> = (at, draws) =>
    coolestFirst(at, (refuses) =>
      bestTrialOf(ladderOf(at), draws, { durations: durationsFor(at), costs: at.costs, refuses }),
    );
  const trial = choice(desk, few);
  const isWorthwhile = trial !== null && trial.informationPerMinute >= worthwhilePerMinute;
  if (answer.rung !== null && !isWorthwhile && answer.rung < ladder.hardest) return settled(answer.rung);
  if (trial === null) return nothingAllowed(desk);
  const purpose = purposeOf(desk, trial);
  const because = becauseOfLadderTrial(trial, purpose, answer, desk.question.rows.length);
  return { ...proposalOf(desk, all, trial, purpose, because), plan: planFrom(desk, few, trial, choice) };
}

function overVoltages(desk: Desk, askedMv: readonly number[]): NextAnswer {
  const voltages = [...new Set(askedMv.map((voltageMv) => underCeiling(desk, voltageMv)))];
  const { stepMhz } = clockGrid(desk);
  const all = limitDrawsOf(desk.fit, desk.fit.draws, desk.workloadId);
  const known = mapPointsOf(all, voltages, desk.hazard, stepMhz);
  if (known.every((point) => point.known)) return settledMap(desk, known);
  const few = limitDrawsOf(desk.fit, resampled(desk.fit.draws, mapDraws, 0.5), desk.workloadId);
  const choice: Choice<TrialForecast> = (at, draws) => {
    const points = mapPointsOf(draws, voltages, desk.hazard, stepMhz);
    const reach = at.bounds.highestMv ?? Infinity;
    const reachable = [...new Set(voltages.map((voltageMv) => Math.min(voltageMv, reach)))];
    const inReach = mapPointsOf(draws, reachable, desk.hazard, stepMhz);
    const durations = durationsFor(at);
    return coolestFirst(at, (refuses) =>
      bestMapTrialOf(points, draws, { ...clockGrid(at), inReach, durations, costs: at.costs, refuses }),
    );
  };
  const trial = choice(desk, few);
  if (trial === null) return nothingAllowed(desk);
  const [point] = mapPointsOf(all, [trial.voltageMv], desk.hazard, stepMhz) as [MapPoint];
  const open = known.filter((one) => !one.known).length;
  const because = becauseOfMapTrial(trial, point, open, voltages.length);
  return { ...proposalOf(desk, all, trial, "map", because), plan: planFrom(desk, few, trial, choice) };
}

type Choice<Trial extends TrialForecast> = (desk: Desk, draws: LimitDraws) => Trial | null;

const longestPlan = 6;

/** With a time to spend: the first attempt and those that would follow if each passes, until the time is used up. */
function planFrom(
  desk: Desk,
  draws: LimitDraws,
  first: TrialForecast,
  choice: Choice<TrialForecast>,
): PlannedAttempt[] | null {
  let left = desk.question.minutes ?? null;
  if (left === null) return null;
  const plan: PlannedAttempt[] = [];
  let believed = draws;
  for (let trial: TrialForecast | null = first; trial !== null && plan.length < longestPlan; ) {
    const { clockMhz, voltageMv, minutes, expectedMinutes, chanceOfPass } = trial;
    const takes = desk.costs.setupMinutes + minutes;
    if (plan.length > 0 && takes > left) break;
    plan.push({ clockMhz, voltageMv, durationS: 60 * minutes, expectedMinutes, chanceOfPass });
    left -= takes;
    if (left < desk.costs.setupMinutes + trialMinutes[0]) break;
    believed = afterPass(believed, trial);
    trial = choice(withPass(desk, trial, left), believed);
  }
  return plan;
}

/** The draws as they would weigh once the attempt has passed. */
function afterPass(draws: LimitDraws, trial: TrialForecast): LimitDraws {
  const passed = trial.ends[trial.ends.length - 1]!;
  const weights = draws.weights.map((weight, k) => weight * passed[k]!);
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  return total > 0 ? { ...draws, weights: weights.map((weight) => weight / total) } : draws;
}

/** What a pass would open up: as many steps again, and less time. */
function withPass(desk: Desk, { clockMhz }: Setting, minutes: number): Desk {
  const reached = clockMhz + clockStepsBeyond * desk.question.chip.clockStepMhz;
  const highestMhz = Math.max(desk.bounds.highestMhz ?? reached, reached);
  return { ...desk, question: { ...desk.question, minutes }, bounds: { ...desk.bounds, highestMhz } };
}

function settledMap(desk: Desk, points: readonly MapPoint[]): Settled {
  const { originMhz, stepMhz } = clockGrid(desk);
  const onGrid = (clockMhz: number): number =>
    Math.round((originMhz + Math.floor((clockMhz - originMhz) / stepMhz + 1e-9) * stepMhz) * 1000) / 1000;
  const map = points.map(({ voltageMv, likelyMhz, lowMhz, highMhz }) => ({
    voltageMv,
    clockMhz: onGrid(likelyMhz),
    lowMhz,
    highMhz,
  }));
  return { settled: { map }, because: becauseSettledMap(points.length, stepMhz), proof: null };
}

/** Settings forecast to stay under the limit come first; only where there is none, one that does not is named, and says so. */
function coolestFirst<Trial extends TrialForecast>(
  desk: Desk,
  choose: (refuses: (setting: Setting) => boolean) => Trial | null,
): Trial | null {
  const passedOver = desk.question.passedOver ?? [];
  const isPassedOver = (setting: Setting): boolean =>
    passedOver.some((other) => other.clockMhz === setting.clockMhz && other.voltageMv === setting.voltageMv);
  const cool = choose((setting) => isPassedOver(setting) || forecastMarginC(desk, setting) < 0);
  if (cool !== null) return cool;
  const hot = choose(isPassedOver);
  if (hot !== null)
    desk.blocked.push(tooHotNote(hot, forecastMarginC(desk, hot), desk.question.hottestAmbientC));
  return hot;
}

/** At the hottest room planned for; unknown counts as enough. */
function forecastMarginC({ fit, question, workloadId }: Desk, { clockMhz, voltageMv }: Setting): number {
  if (fit.heat.law === null) return Infinity;
  const riseC = fit.heat.riseC(clockMhz, voltageMv, workloadId);
  return question.chip.tempLimitC - (question.hottestAmbientC + riseC);
}

const nothingAllowed = ({ blocked }: Desk): TooLittle => ({
  state: "too-little",
  because: ["Every setting worth trying was passed over or is out of bounds.", ...blocked].join(" "),
  needs: "Take back what was passed over, or ask for another voltage or clock.",
});

/** Voltages out of reach for now are reached step by step; above the ceiling they never are. */
function underCeiling({ bounds, blocked, question }: Desk, askedMv: number): number {
  const ceilingMv = question.chip.voltageCeilingMv ?? bounds.highestMv;
  if (ceilingMv === null || askedMv <= ceilingMv) return askedMv;
  blocked.push(
    `${volts(askedMv)} is above ${volts(ceilingMv)}, as far as the chip's entry goes; the map ends there.`,
  );
  return ceilingMv;
}

function allowedVoltage({ bounds, blocked }: Desk, askedMv: number): number {
  if (bounds.highestMv === null || askedMv <= bounds.highestMv) return askedMv;
  blocked.push(
    `${volts(askedMv)} is ${bounds.voltageBecause}; ${volts(bounds.highestMv)} is as far as a proposal goes.`,
  );
  return bounds.highestMv;
}

function allowedClock({ bounds, blocked }: Desk, askedMhz: number): number {
  if (bounds.highestMhz === null || askedMhz <= bounds.highestMhz) return askedMhz;
  blocked.push(
    `${megahertz(askedMhz)} is ${bounds.clockBecause}; ${megahertz(bounds.highestMhz)} is as far as a proposal goes.`,
  );
  return bounds.highestMhz;
}

const clockGrid = ({ question, bounds, fit }: Desk) => ({
  originMhz: question.chip.stockClockMhz ?? 0,
  stepMhz: question.chip.clockStepMhz,
  highestMhz: bounds.highestMhz ?? fit.frame.clockMhz,
});

/** With little time, only runs that fit into it. */
function durationsFor({ question, costs }: Desk): readonly number[] {
  const { minutes } = question;
  if (minutes == null) return trialMinutes;
  const fitting = trialMinutes.filter((duration) => costs.setupMinutes + duration <= minutes);
  return fitting.length > 0 ? fitting : [trialMinutes[0]];
}

/** A long run proves; between a pass and a crash it resolves; else it screens. */
function purposeOf({ question }: Desk, { voltageMv, clockMhz, minutes }: TrialForecast): Purpose {
  if (minutes >= 60) return "prove";
  const near = question.rows.filter((row) => row.voltageMv === voltageMv || row.clockMhz === clockMhz);
  const outcomes = new Set(near.map(({ outcome }) => (outcome === "pass" ? "pass" : "other")));
  return outcomes.size === 2 ? "resolve" : "screen";
}

function proposalOf(
  desk: Desk,
  draws: LimitDraws,
  trial: TrialForecast,
  purpose: Purpose,
  because: string,
): Proposal {
  const { clockMhz, voltageMv, minutes } = trial;
  const [sure] = trialForecastsOf(draws, trial, [minutes], desk.costs) as [TrialForecast];
  return {
    clockMhz,
    voltageMv,
    workloadId: desk.workloadId,
    durationS: 60 * minutes,
    purpose,
    chanceOfPass: sure.chanceOfPass,
    expectedMinutes: sure.expectedMinutes,
    expectedTempC: expectedTempOf(desk, trial),
    because,
    blocked: [...desk.blocked],
    plan: null,
  };
}

function expectedTempOf(
  { fit, workloadId }: Desk,
  { clockMhz, voltageMv }: Setting,
): Proposal["expectedTempC"] {
  if (fit.heat.law === null) return null;
  const { mid, low, high } = fit.heat.law.forecast({ clockMhz, voltageMv, workloadId, ambientC: null });
  return { mid, low, high };
}

const proofMinutes = 60;

/** An hour at the answer, unless such a pass is on record. An undervolt is proved under a load that switches on and off. */
function proofOf(desk: Desk, draws: LimitDraws, setting: Setting): Proposal | null {
  const { rows, workloads, clockMhz } = desk.question;
  const switching = clockMhz == null ? undefined : workloads.find(({ kind }) => kind === "transition");
  const workloadId = switching?.id ?? desk.workloadId;
  const proved = rows.some(
    (row) =>
      row.outcome === "pass" &&
      row.durationS >= 60 * proofMinutes &&
      row.workloadId === workloadId &&
      row.clockMhz >= setting.clockMhz &&
      row.voltageMv <= setting.voltageMv,
  );
  if (proved) return null;
  const [trial] = trialForecastsOf(draws, setting, [proofMinutes], desk.costs) as [TrialForecast];
  return {
    ...proposalOf(desk, draws, trial, "prove", becauseOfProof(setting, switching?.name ?? null)),
    workloadId,
  };
}
