import { useInWords } from "./acceptance.ts";
import { acceptedChance, type BestAnswer, type Desk, type RecommendedSetting } from "./bestDesk.ts";
import { clocksAtHazard } from "./limitReach.ts";
import type { Setting } from "./nextAnswer.ts";
import { chanceInWords } from "./nextWords.ts";
import { megahertz, volts } from "./words.ts";

export function reasonsFor(best: RecommendedSetting, desk: Desk): string[] {
  const { goal, use, chip, hottestAmbientC } = desk.question;
  const setting = `${megahertz(best.clockMhz)} at ${volts(best.voltageMv)}`;
  const reasons = [
    {
      clock: `${setting} is the highest clock that is good enough for ${useInWords[use]}.`,
      efficiency: `${setting} gives the most ${desk.perWatt?.of ?? "clock"} per watt of all that is good enough for ${useInWords[use]}. ${desk.perWatt?.because ?? ""}`,
      cool: `${setting} runs coolest of all that is good enough for ${useInWords[use]}${chip.stockClockMhz === null ? "" : " at no less than the stock clock"}.`,
    }[goal],
    best.chance === null
      ? "It is held by the acceptance rule; too little is recorded to say how sure that is."
      : `It meets the target with a chance of ${chanceInWords(best.chance)}: at worst ${best.crashes} under this load.`,
  ];
  if (best.loadTempC !== null)
    reasons.push(
      `In a room of ${hottestAmbientC} °C it is forecast at ${Math.round(best.loadTempC.mid)} °C (${Math.round(best.loadTempC.low)} to ${Math.round(best.loadTempC.high)}), limit ${chip.tempLimitC} °C.`,
    );
  else reasons.push("No load temperature is recorded, so the margin to the limit is not known.");
  if (goal === "cool" && chip.stockClockMhz !== null && best.clockMhz < chip.stockClockMhz)
    reasons.push("The stock clock itself is not sure enough here, so this lies below it.");
  return reasons;
}

export const noneBecause = ({ question }: Desk, isFitted: boolean): string =>
  isFitted
    ? `No setting on record is good enough for ${useInWords[question.use]} with a chance of 80 in 100 and cool enough for the hottest room.`
    : "Too little is recorded to fit a limit, and no setting is held by the acceptance rule with enough margin.";

const mostPassedOver = 5;

/** What stood in the way: the highest clocks that are too hot, and settings that passed but are not sure enough. */
export function passedOverOf(
  judged: readonly Readonly<{ candidate: RecommendedSetting; against: string | null }>[],
  best: RecommendedSetting | null,
  desk: Desk,
): BestAnswer["passedOver"] {
  const tooHot = judged.flatMap(({ candidate, against }) =>
    against === null ? [] : [{ setting: plain(candidate), because: against }],
  );
  const passed = desk.question.rows
    .filter((row) => row.outcome === "pass" && (best === null || row.clockMhz > best.clockMhz))
    .map((row) => [`${row.clockMhz} ${row.voltageMv}`, plain(row)] as const);
  const unsure = [...new Map(passed).values()]
    .sort((a, b) => b.clockMhz - a.clockMhz)
    .slice(0, mostPassedOver)
    .filter((setting) => !tooHot.some((hot) => isSame(hot.setting, setting)))
    .map((setting) => ({ setting, because: unsureBecause(setting, best, desk) }));
  return [...tooHot, ...unsure]
    .sort((a, b) => b.setting.clockMhz - a.setting.clockMhz)
    .filter(({ setting }, i, all) => all.findIndex((other) => isSame(other.setting, setting)) === i)
    .slice(0, mostPassedOver);
}

function unsureBecause(setting: Setting, best: Setting | null, desk: Desk): string {
  const { draws, hazard, question } = desk;
  const clocks = clocksAtHazard(draws, setting.voltageMv, hazard);
  const chance = clocks.reduce((sum, clock) => sum + (clock >= setting.clockMhz ? 1 : 0), 0) / draws.count;
  return chance >= acceptedChance
    ? `It is good enough too, but ${lessServedBy(setting, best, desk)}.`
    : `It passed, but is good enough for ${useInWords[question.use]} with a chance of only ${chanceInWords(chance)}.`;
}

function lessServedBy(setting: Setting, best: Setting | null, { perWatt }: Desk): string {
  if (perWatt === null || best === null) return "another setting serves the goal better";
  const lessPercent = 100 * (1 - perWatt.at(setting) / perWatt.at(best));
  return `gives ${lessPercent < 1 ? "no more" : `${Math.round(lessPercent)} % less`} ${perWatt.of} per watt`;
}

const plain = ({ clockMhz, voltageMv }: Setting): Setting => ({ clockMhz, voltageMv });
const isSame = (a: Setting, b: Setting): boolean => a.clockMhz === b.clockMhz && a.voltageMv === b.voltageMv;

/** What one more attempt could change, in a sentence. */
export function couldChange(best: RecommendedSetting | null, desk: Desk): string | null {
  if (best === null || desk.question.goal !== "clock") return null;
  const nextMhz = best.clockMhz + desk.question.chip.clockStepMhz;
  const clocks = clocksAtHazard(desk.draws, best.voltageMv, desk.hazard);
  const chance = clocks.reduce((sum, clock) => sum + (clock >= nextMhz ? 1 : 0), 0) / desk.draws.count;
  return chance < 0.1
    ? null
    : `The next step, ${megahertz(nextMhz)}, is good enough with a chance of ${chanceInWords(chance)}; a long run there could change the answer.`;
}
