import { ranAsSet } from "../frontier/evidence.ts";
import { loadedRows } from "../limit/limitEvidence.ts";
import { chanceOfHours } from "../limit/limitReach.ts";
import { chanceInWords, hoursInWords } from "../next/nextWords.ts";
import { useInWords } from "../things/aim.ts";
import { readLimitC } from "../things/chip.ts";
import type { EvidenceRow } from "../things/evidenceRow.ts";
import type { Setting } from "../things/setting.ts";
import { clockWords, volts } from "../things/words.ts";
import { restsInWords } from "./answerWords.ts";
import type { BestAnswer, BestDesk, RecommendedSetting } from "./bestDesk.ts";
import { whyNotAnswer } from "./highestSeen.ts";

export function reasonsFor(best: RecommendedSetting, desk: BestDesk): string[] {
  const { goal, use, chip, hottestAmbientC } = desk.question;
  const setting = `${clockWords(best.clockMhz, chip.clockUnit)} at ${volts(best.voltageMv)}`;
  const reasons = [
    {
      clock: `${setting} is the highest clock that is good enough for ${useInWords[use]}.`,
      efficiency: `${setting} gives the most ${desk.perWatt?.of ?? "clock"} per watt of all that is good enough for ${useInWords[use]}. ${desk.perWatt?.because ?? ""}`,
      cool: `${setting} runs coolest of all that is good enough for ${useInWords[use]}${chip.stockClockMhz === null ? "" : " at no less than the stock clock"}.`,
    }[goal],
    best.chance === null
      ? "It is held by the acceptance rule; too little is recorded to say how sure that is."
      : `${sentenceStart(hoursInWords(best.hours))} there ${best.hours === 1 ? "passes" : "pass"} ${chanceInWords(best.chance)} times${best.guarded ? ", guard included" : ""}, crashes that no setting explains left out; ${restsOn(desk)}.`,
  ];
  if (best.loadTempC !== null)
    reasons.push(
      `In a room of ${hottestAmbientC} °C it is forecast at ${Math.round(best.loadTempC.mid)} °C (${Math.round(best.loadTempC.low)} to ${Math.round(best.loadTempC.high)}), limit ${readLimitC(chip)} °C${chip.controlOffsetC ? " as its sensor tells it" : ""}.`,
    );
  else reasons.push("No load temperature is recorded, so the margin to the limit is not known.");
  if (goal === "cool" && chip.stockClockMhz !== null && best.clockMhz < chip.stockClockMhz)
    reasons.push("The stock clock itself is not sure enough here, so this lies below it.");
  return reasons;
}

const sentenceStart = (words: string): string => words.charAt(0).toUpperCase() + words.slice(1);

/** With fewer attempts than this an answer rests mostly on what such chips usually do. */
const fewAttempts = 4;

/** "from 9 attempts, the longest 40 min": what a chance rests on. */
function restsOn({ question, fit }: BestDesk): string {
  const rows = loadedRows(question.rows, question.workloads);
  const longestS = rows.reduce((most, { durationS }) => Math.max(most, durationS), 0);
  const told = `from ${restsInWords({ attempts: rows.length, longestS })}`;
  return rows.length < fewAttempts ? `${told}, mostly from ${fit.sharpness.name}` : told;
}

export const noneBecause = ({ question, evidence }: BestDesk, isFitted: boolean): string =>
  isFitted
    ? `No setting on record is good enough for ${useInWords[question.use]} with the chance asked, ran ten minutes, ${evidence.warmth.guardMv > 0 ? "leaves room for the guard in its voltage, " : ""}and is cool enough for the hottest room.`
    : "Too little is recorded to fit a limit, and no setting is held by the acceptance rule with enough margin.";

const mostPassedOver = 5;

/** What stood in the way: the highest clocks that are too hot, and settings that passed but are not sure enough. */
export function passedOverOf(
  judged: readonly Readonly<{ candidate: RecommendedSetting; against: string | null }>[],
  best: RecommendedSetting | null,
  desk: BestDesk,
): BestAnswer["passedOver"] {
  const tooHot = judged.flatMap(({ candidate, against }) =>
    against === null ? [] : [{ setting: plain(candidate), because: against }],
  );
  const passed = desk.question.rows
    .filter(
      (row) => row.outcome === "pass" && ranAsSet(row) && (best === null || row.clockMhz > best.clockMhz),
    )
    .map((row) => [`${row.clockMhz} ${row.voltageMv}`, row] as const);
  const unsure = [...new Map(passed).values()]
    .sort((a, b) => b.clockMhz - a.clockMhz)
    .slice(0, mostPassedOver)
    .filter((row) => !tooHot.some((hot) => isSame(hot.setting, row)))
    .map((row) => ({ setting: plain(row), because: unsureBecause(row, best, desk) }));
  return [...tooHot, ...unsure]
    .sort((a, b) => b.setting.clockMhz - a.setting.clockMhz)
    .filter(({ setting }, i, all) => all.findIndex((other) => isSame(other.setting, setting)) === i)
    .slice(0, mostPassedOver);
}

function unsureBecause(row: EvidenceRow, best: Setting | null, desk: BestDesk): string {
  const { draws, evidence, question } = desk;
  const { hours, chance } = evidence.wanted;
  const found = chanceOfHours(draws, row, hours);
  return found >= chance
    ? (whyNotAnswer(row, desk) ?? `It is good enough too, but ${lessServedBy(row, best, desk)}.`)
    : `It passed, but for ${useInWords[question.use]} ${hoursInWords(hours)} there ${hours === 1 ? "passes" : "pass"} only ${chanceInWords(Math.min(found, chance - 0.01))} times.`;
}

function lessServedBy(setting: Setting, best: Setting | null, { perWatt }: BestDesk): string {
  if (perWatt === null || best === null) return "another setting serves the goal better";
  const lessPercent = 100 * (1 - perWatt.at(setting) / perWatt.at(best));
  return `gives ${lessPercent < 1 ? "no more" : `${Math.round(lessPercent)} % less`} ${perWatt.of} per watt`;
}

const plain = ({ clockMhz, voltageMv }: Setting): Setting => ({ clockMhz, voltageMv });
const isSame = (a: Setting, b: Setting): boolean => a.clockMhz === b.clockMhz && a.voltageMv === b.voltageMv;
