import { ladderAnswerOf } from "../next/ladderAnswer.ts";
import { ladderAtVoltage } from "../next/ladderDesk.ts";
import { isRuledOutAt } from "../next/nextDesk.ts";
import { marginAt } from "../next/warmth.ts";
import type { BestDesk, RecommendedSetting, VoltageAnswer } from "./bestDesk.ts";

type Judging = Readonly<{
  /** The highest clock at a voltage that ran, and up to it the highest that is cool enough; null where nothing ran. */
  settingsAt: (
    voltageMv: number,
  ) => Readonly<{ highest: RecommendedSetting; coolEnough: RecommendedSetting }> | null;
  objectionTo: (setting: RecommendedSetting) => string | null;
}>;

/** What the record says at each voltage tried: the answer that ran there, the clocks between which it lies, and whether that is near enough. */
export function answersAtVoltages(desk: BestDesk, { settingsAt, objectionTo }: Judging): VoltageAnswer[] {
  const { evidence, draws, fit } = desk;
  const hasFailed = fit.records.some(({ failed }) => failed);
  // What rules a setting out is what was read or its forecast: the margin told is then the lesser.
  const leastMarginC = ({ marginC, loadTempC }: RecommendedSetting): number | null =>
    loadTempC === null
      ? marginC
      : Math.min(marginC ?? Number.POSITIVE_INFINITY, marginAt(evidence.warmth, loadTempC.mid));
  let lowerMhz = 0;
  return desk.triedMv.map((voltageMv) => {
    const ladder = ladderAtVoltage(voltageMv, evidence.hazard)(evidence);
    const believed = ladderAnswerOf(ladder, draws, evidence.wanted, isRuledOutAt(evidence));
    const ran = settingsAt(voltageMv);
    // Where less voltage does as much, heat rules this one out rather than slowing it down.
    const setting = ran && (ran.coolEnough.clockMhz > lowerMhz ? ran.coolEnough : ran.highest);
    const objection = setting && objectionTo(setting);
    const clockMhz = setting?.clockMhz ?? null;
    if (clockMhz !== null && objection === null) lowerMhz = Math.max(lowerMhz, clockMhz);
    const clockAt = (rung: number | null): number | null =>
      rung === null ? null : ladder.settingAt(rung).clockMhz;
    const isEndKnown = hasFailed || believed.sure === ladder.mostByHeat;
    return {
      voltageMv,
      clockMhz,
      chance: setting?.chance ?? null,
      marginC: setting && (objection === null ? setting.marginC : leastMarginC(setting)),
      lowMhz: clockAt(believed.sure),
      highMhz: clockAt(believed.likely),
      done:
        believed.near && isEndKnown && clockMhz !== null && clockMhz >= (clockAt(believed.rung) ?? Infinity),
      objection,
    };
  });
}
