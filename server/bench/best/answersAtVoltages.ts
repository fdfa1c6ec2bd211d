import { ladderAnswerOf } from "../next/ladderAnswer.ts";
import { ladderAtVoltage } from "../next/ladderDesk.ts";
import { isRuledOutAt } from "../next/nextDesk.ts";
import type { Desk, RecommendedSetting, VoltageAnswer } from "./bestDesk.ts";

type Judging = Readonly<{
  /** The answer at a voltage, as far as it ran; null where nothing did. */
  settingAt: (voltageMv: number) => RecommendedSetting | null;
  objectionTo: (setting: RecommendedSetting) => string | null;
}>;

/** What the record says at each voltage tried: the answer that ran there, the clocks between which it lies, and whether that is near enough. */
export function answersAtVoltages(desk: Desk, { settingAt, objectionTo }: Judging): VoltageAnswer[] {
  const { evidence, draws, fit } = desk;
  const hasFailed = fit.records.some(({ failed }) => failed);
  return desk.triedMv.map((voltageMv) => {
    const ladder = ladderAtVoltage(voltageMv, evidence.hazard)(evidence);
    const believed = ladderAnswerOf(ladder, draws, evidence.wanted, isRuledOutAt(evidence));
    const clockAt = (rung: number | null): number | null =>
      rung === null ? null : ladder.settingAt(rung).clockMhz;
    const setting = settingAt(voltageMv);
    const clockMhz = setting?.clockMhz ?? null;
    return {
      voltageMv,
      clockMhz,
      chance: setting?.chance ?? null,
      marginC: setting?.marginC ?? null,
      lowMhz: clockAt(believed.sure),
      highMhz: clockAt(believed.likely),
      done:
        believed.near && hasFailed && clockMhz !== null && clockMhz >= (clockAt(believed.rung) ?? Infinity),
      objection: setting === null ? null : objectionTo(setting),
    };
  });
}
