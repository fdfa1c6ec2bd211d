import type { Failure } from "../frontier/standingFailures.ts";
import type { Target } from "../limit/acceptance.ts";
import type { LadderAnswer } from "../next/ladderAnswer.ts";
import type { Purpose } from "../next/nextAnswer.ts";
import { chanceInWords, failedInWords, hoursInWords, oddWords } from "../next/nextWords.ts";
import { withinSentence } from "../things/words.ts";
import type { Scale } from "./scale.ts";

/** "offset −30 mV", "+150 MHz": what counts from nothing with its sign, as firmware shows it; "CL 32". */
export function levelInWords(
  { name, unit, usual = 0 }: Pick<Scale, "name" | "unit"> & Partial<Pick<Scale, "usual">>,
  level: number,
): string {
  const sign = level > 0 && usual === 0 ? "+" : level < 0 ? "−" : "";
  const rounded = Math.round(1000 * Math.abs(level)) / 1000;
  return `${name} ${sign}${rounded}${unit === "" || unit === "counts" ? "" : ` ${unit}`}`;
}

const minutesInWords = (minutes: number): string => (minutes === 60 ? "an hour" : `${minutes} minutes`);

type Run = Readonly<{ level: string; minutes: number; chanceOfPass: number }>;
const run = ({ level, minutes }: Run): string => `${withinSentence(level)} for ${minutesInWords(minutes)}`;

/** One sentence: what the attempt would decide, and how likely it passes. */
export function becauseOfLevel(trial: Run, purpose: Purpose, answer: LadderAnswer, attempts: number): string {
  const odds = `it passes ${chanceInWords(trial.chanceOfPass)} times`;
  if (attempts === 0)
    return `Nothing has been tried here yet; ${run(trial)} tells most for its time, and ${odds}.`;
  if (purpose === "prove")
    return `Short runs can no longer tell the last steps apart; ${run(trial)} can, and ${odds}.`;
  if (answer.rung === null)
    return `Nothing here is likely enough to hold yet; ${run(trial)} tells most for its time, and ${odds}.`;
  return purpose === "resolve"
    ? `The limit lies between what passed and what failed; ${run(trial)} narrows it most for its time, and ${odds}.`
    : `The limit has not shown itself yet; ${run(trial)} narrows it most for its time, and ${odds}.`;
}

export const becauseLevelLacksRun = (level: string, chance: number, { hours }: Target): string =>
  `${level} likely passes ${hoursInWords(hours)} (${chanceInWords(chance)}), but nothing as hard has run for ten minutes; ten minutes there make it the answer.`;

export const becauseTooFew = (level: string, chance: number, { hours }: Target): string =>
  `${level} likely passes ${hoursInWords(hours)} (${chanceInWords(chance)}), but an answer rests on three attempts at least; ten minutes there are one more.`;

export const becauseLevelSettled = (
  level: string,
  { chance, nextChance }: LadderAnswer,
  { hours, chance: wanted }: Target,
): string =>
  `${level} passes ${hoursInWords(hours)} ${chanceInWords(chance)} times${
    nextChance >= wanted
      ? "; one step harder likely too, but a failure stands against it or it runs too hot."
      : `, one step harder ${Math.max(1, Math.floor(100 * nextChance))} in 100 times; ${Math.round(100 * wanted)} are asked for.`
  }`;

export const levelBarred = (level: string, failure: Failure): string =>
  `${level}: ${failedInWords(failure)}. Nothing as hard is proposed until the same passes for longer.`;

export const levelBeyondOdd = (level: string, failure: Failure): string =>
  `${level}: ${failedInWords(failure)}, ${oddWords}`;

export const levelTooWarm = (level: string, roomC: number): string =>
  `In the hottest room planned for (${roomC} °C), ${withinSentence(level)} is forecast too near the chip's temperature limit; it is not proposed.`;

export const nothingAllowedOn = (name: string): string =>
  `Every ${withinSentence(name)} worth trying was passed over or may not be proposed.`;
