import type { Failure } from "../frontier/standingFailures.ts";
import type { Target } from "../limit/acceptance.ts";
import type { EvidenceRow } from "../things/evidenceRow.ts";
import { outcomeInSentence, outcomeWords } from "../things/outcome.ts";
import type { Setting } from "../things/setting.ts";
import { clockWords, type UnitOfClock, volts } from "../things/words.ts";
import type { LadderAnswer } from "./ladderAnswer.ts";
import type { Purpose } from "./nextAnswer.ts";
import type { TrialForecast } from "./trialForecast.ts";
import type { MapPoint } from "./voltageMap.ts";

/** "52 in 100", never 0 or 100: nothing here is certain. */
export const chanceInWords = (chance: number): string =>
  `${Math.min(99, Math.max(1, Math.round(100 * chance)))} in 100`;

const minutesInWords = (minutes: number): string => (minutes === 60 ? "an hour" : `${minutes} minutes`);

const run = ({ clockMhz, voltageMv, minutes }: TrialForecast, unit: UnitOfClock): string =>
  `${clockWords(clockMhz, unit)} at ${volts(voltageMv)} for ${minutesInWords(minutes)}`;

/** One sentence: what the attempt would decide, and how likely it passes. */
export function becauseOfLadderTrial(
  trial: TrialForecast,
  purpose: Purpose,
  answer: LadderAnswer,
  attempts: number,
  unit: UnitOfClock,
): string {
  const ran = run(trial, unit);
  const odds = `it passes ${chanceInWords(trial.chanceOfPass)} times`;
  if (attempts === 0)
    return `Nothing has been tried on this build yet; ${ran} tells most for its time, and ${odds}.`;
  if (purpose === "prove")
    return `Short runs can no longer tell the last steps apart; ${ran} can, and ${odds}.`;
  if (answer.rung === null)
    return `Nothing here is likely enough to hold yet; ${ran} tells most for its time, and ${odds}.`;
  return purpose === "resolve"
    ? `The limit lies between what passed and what crashed; ${ran} narrows it most for its time, and ${odds}.`
    : `The limit has not shown itself yet; ${ran} narrows it most for its time, and ${odds}.`;
}

export const becauseOfMapTrial = (
  trial: TrialForecast,
  point: MapPoint,
  open: number,
  voltages: number,
  unit: UnitOfClock,
): string =>
  `At ${open} of ${voltages} voltages the limit is not known to a step yet (at ${volts(trial.voltageMv)} it lies between ${Math.round(point.lowMhz)} and ${clockWords(Math.round(point.highMhz), unit)}); ${run(trial, unit)} narrows them together most for its time, and it passes ${chanceInWords(trial.chanceOfPass)} times.`;

/** Of a setting whose hours pass less often than is asked. */
export const passesTooSeldom = (found: number, { chance, hours }: Target): string =>
  `There ${hoursInWords(hours)} ${hours === 1 ? "passes" : "pass"} only ${chanceInWords(Math.min(found, chance - 0.01))} times.`;

/** Of one whose every pass is shorter than an answer rests on. */
export const ranTooShort = "It ran for less than ten minutes.";

/** "an hour", "8 hours": what an answer must pass. */
export const hoursInWords = (hours: number): string => (hours === 1 ? "an hour" : `${hours} hours`);

/** Its chance is rounded down where it is not enough: it lies under what is asked. */
function nextStepInWords(
  towards: "up" | "down",
  { nextChance }: LadderAnswer,
  { chance, hours }: Target,
): string {
  const step = `the next step ${towards} passes ${hoursInWords(hours)}`;
  return nextChance >= chance
    ? `; ${step} likely too, but a failure stands against it or it runs too hot.`
    : `, ${step} ${Math.max(1, Math.floor(100 * nextChance))} in 100 times; ${Math.round(100 * chance)} are asked for.`;
}

export const becauseSettledAtVoltage = (
  setting: Setting,
  answer: LadderAnswer,
  wanted: Target,
  unit: UnitOfClock,
): string => `${passesInWords(setting, answer, wanted, unit)}${nextStepInWords("up", answer, wanted)}`;

export const becauseSettledAtClock = (
  setting: Setting,
  answer: LadderAnswer,
  wanted: Target,
  unit: UnitOfClock,
): string => `${passesInWords(setting, answer, wanted, unit)}${nextStepInWords("down", answer, wanted)}`;

const passesInWords = (
  { clockMhz, voltageMv }: Setting,
  { chance }: LadderAnswer,
  { hours }: Target,
  unit: UnitOfClock,
): string =>
  `${clockWords(clockMhz, unit)} at ${volts(voltageMv)} passes ${hoursInWords(hours)} ${chanceInWords(chance)} times`;

/** The answer has not run yet. */
export const becauseOfFirstProof = (
  setting: Setting,
  { chance }: Pick<LadderAnswer, "chance">,
  { hours }: Target,
  unit: UnitOfClock,
): string =>
  `${clockWords(setting.clockMhz, unit)} at ${volts(setting.voltageMv)} likely passes ${hoursInWords(hours)} (${chanceInWords(chance)}), but nothing as hard has run for ten minutes; ten minutes there make it the answer.`;

export const becauseOfAgain = (trial: TrialForecast, { outcome }: EvidenceRow): string =>
  `It ${outcomeInSentence[outcome]} there once; ${minutesInWords(trial.minutes)} of the same say whether it was the clock, and it passes ${chanceInWords(trial.chanceOfPass)} times.`;

export const onceOnlyNote = ({ clockMhz, voltageMv }: Setting, unit: UnitOfClock): string =>
  `${clockWords(clockMhz, unit)} at ${volts(voltageMv)} was run again already; the same is repeated once.`;

/** "froze after 6 min". */
export const failedInWords = ({ row }: Pick<Failure, "row">): string =>
  `${outcomeWords[row.outcome]}${row.durationS >= 60 ? ` after ${Math.round(row.durationS / 60)} min` : ""}`;

/** What failed, and why nothing as hard is proposed. */
export const barredNote = (failure: Failure, unit: UnitOfClock): string =>
  `${clockWords(failure.clockMhz, unit)} at ${volts(failure.voltageMv)}: ${failedInWords(failure)}. Nothing as hard is proposed until the same passes for longer.`;

/** To follow what failed, where nothing else bears that out. */
export const oddWords =
  "which nothing else bears out. Nothing harder is proposed until the same has passed for ten minutes.";

export const oddNote = (failure: Failure, unit: UnitOfClock): string =>
  `${clockWords(failure.clockMhz, unit)} at ${volts(failure.voltageMv)}: ${failedInWords(failure)}, ${oddWords}`;

/**
 * `openMv` are voltages where the limit is less well known, and nothing that may be tried would soon change that; at
 * `hotMv` heat sets the end before the clock does; at `unrunMv` the answer itself, or what is harder, has not run.
 */
export const becauseSettledMap = (
  voltages: number,
  { openMv, hotMv, unrunMv }: Readonly<Record<"openMv" | "hotMv" | "unrunMv", readonly number[]>>,
): string =>
  [
    howKnown(voltages, openMv),
    ...(hotMv.length === 0
      ? []
      : [`At ${listed(hotMv.map(volts))} heat sets the limit before the clock does.`]),
    ...(unrunMv.length === 0 ? [] : [unrunWords(unrunMv)]),
  ].join(" ");

function howKnown(voltages: number, openMv: readonly number[]): string {
  const noMore = "no attempt within the bounds would narrow it enough to be worth the bench time.";
  if (openMv.length === 0) {
    const where = voltages === 1 ? "this voltage" : `all ${voltages} voltages`;
    return `At ${where} the limit is known near enough; for the map no more attempts are worth the bench time.`;
  }
  if (openMv.length === voltages) {
    const where =
      voltages === 1 ? "this voltage the limit is not" : `none of ${voltages} voltages is the limit`;
    return `At ${where} known near enough, but ${noMore}`;
  }
  const where = openMv.map(volts).join(", ");
  return `At ${voltages - openMv.length} of ${voltages} voltages the limit is known near enough, at ${where} less well; ${noMore}`;
}

const unrunWords = (unrunMv: readonly number[]): string =>
  `At ${listed(unrunMv.map(volts))} what to run has not run itself yet; ten minutes ${unrunMv.length === 1 ? "there make" : "at each make"} it the answer.`;

const listed = (words: readonly string[]): string =>
  words.length < 2 ? words.join("") : `${words.slice(0, -1).join(", ")} and ${words.at(-1)}`;

/** To follow another sentence: under which load to run, where it is the switching that fails first. */
export const switchedUnder = (load: string): string =>
  ` Run it under ${load}: low voltages fail where the load switches on and off.`;

export const becauseOfProof = ({ clockMhz, voltageMv }: Setting, unit: UnitOfClock): string =>
  `An hour at ${clockWords(clockMhz, unit)} and ${volts(voltageMv)} proves the answer.`;

/** A low voltage is proved under a load that switches; with none written down the proof says less, and that is told. */
export const becauseOfLowProof = (
  { clockMhz, voltageMv }: Setting,
  switching: string | null,
  unit: UnitOfClock,
): string =>
  switching === null
    ? `An hour at ${clockWords(clockMhz, unit)} and ${volts(voltageMv)} proves the answer as far as a steady load can: low voltages fail first where the load switches on and off, and no such load is written down.`
    : `An hour of ${switching} at ${clockWords(clockMhz, unit)} and ${volts(voltageMv)} proves the answer: low voltages fail where the load switches on and off.`;

export const tooWarmNote = ({ clockMhz, voltageMv }: Setting, because: string, unit: UnitOfClock): string =>
  `${clockWords(clockMhz, unit)} at ${volts(voltageMv)} is not proposed. ${because}`;

/** A voltage at which heat leaves next to nothing, and the lower one that is looked at instead. */
export const ruledOutByHeat = (
  { voltageMv, mostMhz }: Readonly<{ voltageMv: number; mostMhz: number }>,
  insteadMv: number,
  unit: UnitOfClock,
): string =>
  `Heat rules ${volts(voltageMv)} out: ${mostMhz > 0 ? `nothing above ${clockWords(mostMhz, unit)} can be the answer there` : "nothing there stays cool enough"}, and ${volts(insteadMv)} likely gives more.`;

/** Whether a caution only gives the reason for what is proposed: heat, or a failure held for odd. */
export const isReasonAlone = (caution: string): boolean =>
  caution.includes(" is not proposed. ") || caution.includes(oddWords);
