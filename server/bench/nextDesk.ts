import { acceptableHazardPerMinute, targetOfUse } from "./acceptance.ts";
import { type AttemptBounds, attemptBoundsOf } from "./attemptBounds.ts";
import { type BenchCosts, usualBenchCosts } from "./benchCosts.ts";
import { loadedRows } from "./limitEvidence.ts";
import type { LimitFit } from "./limitFit.ts";
import { stockCrashNote } from "./limitFrame.ts";
import type { NextQuestion, Setting, TooLittle } from "./nextAnswer.ts";
import { tooHotNote } from "./nextWords.ts";
import { type TrialForecast, trialMinutes } from "./trialForecast.ts";
import { megahertz, volts } from "./words.ts";

/** What a proposal is made from: the question, the fit, what may be tried, and what was wanted and may not be. */
export type Desk = Readonly<{
  question: NextQuestion;
  fit: LimitFit;
  workloadId: string | null;
  hazard: number;
  costs: BenchCosts;
  bounds: AttemptBounds;
  blocked: string[];
}>;

export function deskOf(question: NextQuestion, fit: LimitFit): Desk {
  const rows = loadedRows(question.rows, question.workloads);
  return {
    question,
    fit,
    workloadId: question.workloadId ?? fit.heaviestId,
    hazard: acceptableHazardPerMinute(question.target ?? targetOfUse.benchmark),
    costs: { ...usualBenchCosts, ...question.costs },
    bounds: attemptBoundsOf(question.chip, rows),
    blocked: [...fit.frame.notes, stockCrashNote(fit.frame, rows) ?? []].flat(),
  };
}

/** Settings forecast to stay under the limit come first; only where there is none, one that does not is named, and says so. */
export function coolestFirst<Trial extends TrialForecast>(
  desk: Desk,
  choose: (refuses: (setting: Setting) => boolean) => Trial | null,
): Trial | null {
  const cool = choose((setting) => isPassedOver(desk, setting) || forecastMarginC(desk, setting) < 0);
  if (cool !== null) return cool;
  const hot = choose((setting) => isPassedOver(desk, setting));
  if (hot !== null) desk.blocked.push(...tooHot(desk, hot));
  return hot;
}

export const isPassedOver = ({ question }: Desk, { clockMhz, voltageMv }: Setting): boolean =>
  (question.passedOver ?? []).some((other) => other.clockMhz === clockMhz && other.voltageMv === voltageMv);

/** The caution that belongs to a setting forecast over the temperature limit; none where it stays under. */
export function tooHot(desk: Desk, setting: Setting): readonly string[] {
  const marginC = forecastMarginC(desk, setting);
  return marginC < 0 ? [tooHotNote(setting, marginC, desk.question.hottestAmbientC)] : [];
}

/** At the hottest room planned for; unknown counts as enough. */
function forecastMarginC({ fit, question, workloadId }: Desk, { clockMhz, voltageMv }: Setting): number {
  if (fit.heat.law === null) return Infinity;
  const riseC = fit.heat.riseC(clockMhz, voltageMv, workloadId);
  return question.chip.tempLimitC - (question.hottestAmbientC + riseC);
}

export const nothingAllowed = ({ blocked }: Desk): TooLittle => ({
  state: "too-little",
  because: ["Every setting worth trying was passed over or is out of bounds.", ...blocked].join(" "),
  needs: "Take back what was passed over, or ask for another voltage or clock.",
});

/** Voltages out of reach for now are reached step by step; above the ceiling they never are. */
export function underCeiling({ bounds, blocked, question }: Desk, askedMv: number): number {
  const ceilingMv = question.chip.voltageCeilingMv ?? bounds.highestMv;
  if (ceilingMv === null || askedMv <= ceilingMv) return askedMv;
  blocked.push(
    `${volts(askedMv)} is above ${volts(ceilingMv)}, as far as the chip's entry goes; the map ends there.`,
  );
  return ceilingMv;
}

export function allowedVoltage({ bounds, blocked }: Desk, askedMv: number): number {
  if (bounds.highestMv === null || askedMv <= bounds.highestMv) return askedMv;
  blocked.push(
    `${volts(askedMv)} is ${bounds.voltageBecause}; ${volts(bounds.highestMv)} is as far as a proposal goes.`,
  );
  return bounds.highestMv;
}

export function allowedClock({ bounds, blocked }: Desk, askedMhz: number): number {
  if (bounds.highestMhz === null || askedMhz <= bounds.highestMhz) return askedMhz;
  blocked.push(
    `${megahertz(askedMhz)} is ${bounds.clockBecause}; ${megahertz(bounds.highestMhz)} is as far as a proposal goes.`,
  );
  return bounds.highestMhz;
}

export const clockGrid = ({ question, bounds, fit }: Desk) => ({
  originMhz: question.chip.stockClockMhz ?? 0,
  stepMhz: question.chip.clockStepMhz,
  highestMhz: bounds.highestMhz ?? fit.frame.clockMhz,
});

/** With little time, only runs that fit into it. */
export function durationsFor({ question, costs }: Desk): readonly number[] {
  const { minutes } = question;
  if (minutes == null) return trialMinutes;
  const fitting = trialMinutes.filter((duration) => costs.setupMinutes + duration <= minutes);
  return fitting.length > 0 ? fitting : [trialMinutes[0]];
}
