import { chanceInWords, hoursInWords } from "../next/nextWords.ts";
import type { OffsetAnswer } from "../scale/offsetAnswer.ts";
import { levelInWords } from "../scale/scaleWords.ts";
import type { Setting } from "../things/setting.ts";
import { clockWords, type UnitOfClock, volts } from "../things/words.ts";
import type { AnswerState, BestAnswer, RecommendedSetting } from "./bestDesk.ts";

/** An answer with whether it is of the record as it is. */
export type ToldAnswer = Pick<BestAnswer, "state" | "setting" | "because"> &
  Readonly<{ reckoning: boolean; byOffset?: OffsetAnswer | null }>;

export const settingInWords = ({ clockMhz, voltageMv }: Setting, unit: UnitOfClock): string =>
  `${clockWords(clockMhz, unit)} at ${volts(voltageMv)}`;

/** "an hour there passes 96 in 100", and what else is to be said of how sure that is. */
export function passesInWords({ chance, hours, guarded, from }: RecommendedSetting): string {
  if (chance === null)
    return from === "held"
      ? "held by the acceptance rule, no chance is known"
      : "its chance is being worked out";
  const passes = `${hoursInWords(hours)} there ${hours === 1 ? "passes" : "pass"} ${chanceInWords(chance)}`;
  return guarded ? `${passes}, guard included` : passes;
}

export const stateInWords: Readonly<Record<AnswerState, string>> = {
  done: "Done",
  enough: "One run short",
  looking: "Still looking",
  "too-little": "Too little on record",
};

/** "core 1 −80 mV, core 2 −110 mV", or "+150 MHz" of a chip that is set as a whole; null where a part has no answer yet. */
export function offsetsInWords({ unit, offset, offsets }: OffsetAnswer): string | null {
  const words = (level: number): string => levelInWords({ name: "", unit }, level).trim();
  if (offset !== null) return words(offset);
  return (
    offsets &&
    Object.entries(offsets)
      .map(([part, level]) => `${part} ${words(level)}`)
      .join(", ")
  );
}

/** "an hour of each alone passes 96 in 100. Found one at a time, not proved together" */
export function offsetsPassInWords({ parts, provedTogether, because }: OffsetAnswer): string {
  const found = parts.flatMap(({ setting }) => setting ?? []);
  const least = Math.min(...found.map(({ chance }) => chance));
  const hours = found[0]?.hours ?? 1;
  const alone = provedTogether === null ? "there" : "of each part";
  const passes = `${hoursInWords(hours)} ${alone} ${hours === 1 ? "passes" : "pass"} ${chanceInWords(least)}`;
  return [passes, ...because.map((one) => one.replace(/\.$/, ""))].join(". ");
}

/** "Run 4575 MHz at 1.200 V: an hour there passes 96 in 100. Done.": the answer wherever it stands as text. */
export function answerInWords(answer: ToldAnswer, clockUnit: UnitOfClock): string {
  const { setting, state, reckoning, because, byOffset = null } = answer;
  const offsets = byOffset && offsetsInWords(byOffset);
  const told =
    byOffset !== null && offsets !== null
      ? `Run ${offsets}: ${offsetsPassInWords(byOffset)}. ${stateInWords[state]}.`
      : setting === null
        ? `No setting to run yet: ${because[0] ?? ""}`.trim()
        : `Run ${settingInWords(setting, clockUnit)}: ${passesInWords(setting)}. ${stateInWords[state]}.`;
  return [told, reckoningSaid({ reckoning, because })].filter(Boolean).join(" ");
}

export const reckoningInWords = "It is being worked out anew from the whole record.";
export const notWorkedOutYet = "The answer is being worked out from the whole record.";

/** That a kept answer is worked out anew; blank where there is none and its reason says as much. */
export const reckoningSaid = ({
  reckoning,
  because,
}: Readonly<{ reckoning: boolean; because: readonly string[] }>): string =>
  reckoning && because[0] !== notWorkedOutYet ? reckoningInWords : "";

const ranInWords = (seconds: number): string =>
  seconds < 7200 ? `${Math.round(seconds / 60)} min` : `${Number((seconds / 3600).toFixed(1))} h`;

/** "Under Stacking, with timings 30-38-38-76."; blank where neither is known. */
export function conditionsInWords({
  load,
  knobs,
}: Readonly<{ load: string | null; knobs: Readonly<{ words: string }> | null }>): string {
  if (load === null) return knobs === null ? "" : `With ${knobs.words}.`;
  return knobs === null ? `Under ${load}.` : `Under ${load}, with ${knobs.words}.`;
}

/** "9 attempts, the longest 40 min" */
export const restsInWords = ({
  attempts,
  longestS,
}: Readonly<{ attempts: number; longestS: number }>): string =>
  `${attempts} ${attempts === 1 ? "attempt" : "attempts"}, the longest ${ranInWords(longestS)}`;

/** "good enough to stop: 90 more minutes might gain 25 MHz" */
export const nearerInWords = (
  { minutes, gainMhz, gainMv }: NonNullable<BestAnswer["nearer"]>,
  unit: UnitOfClock,
): string =>
  `${minutes} more minutes might gain ${gainMhz === null ? volts(gainMv ?? 0) : clockWords(Math.round(gainMhz), unit)}`;
