import { type ProvenRuns, provenRunsOf } from "../frontier/provenRuns.ts";
import { barring, contesting, type Failure, failuresOf } from "../frontier/standingFailures.ts";
import { acceptableHazardPerMinute, answerOfUse, type Target, targetOfUse } from "../limit/acceptance.ts";
import { type AttemptBounds, attemptBoundsOf } from "../limit/attemptBounds.ts";
import { doubtfulRecordsOf } from "../limit/doubtfulRecords.ts";
import { loadedRows } from "../limit/limitEvidence.ts";
import type { LimitFit, TooLittle } from "../limit/limitFit.ts";
import { stockCrashNote } from "../limit/limitFrame.ts";
import type { Setting } from "../things/setting.ts";
import { megahertz, volts } from "../things/words.ts";
import { type BenchCosts, usualBenchCosts } from "./benchCosts.ts";
import type { NextQuestion } from "./nextAnswer.ts";
import { barredNote, tooHotNote } from "./nextWords.ts";
import { trialMinutes } from "./trialForecast.ts";

/** What a proposal is made from: the question, the fit, what ran and what failed, what may be tried, and what was wanted and may not be. */
export type Desk = Readonly<{
  question: NextQuestion;
  fit: LimitFit;
  workloadId: string | null;
  /** What an answer must pass, and the hazard at which a limit counts as met. */
  wanted: Target;
  hazard: number;
  costs: BenchCosts;
  bounds: AttemptBounds;
  failures: readonly Failure[];
  proven: ProvenRuns;
  blocked: string[];
}>;

export function deskOf(
  question: NextQuestion,
  fit: LimitFit,
  workloadId: string | null = question.workloadId ?? fit.heaviestId,
): Desk {
  const { chip, workloads, use = "benchmark" } = question;
  const rows = loadedRows(question.rows, workloads);
  const doubted = new Set(doubtfulRecordsOf(fit).map(({ attemptId }) => attemptId));
  const failures = failuresOf({ rows, chip, workloads, workloadId, doubted });
  return {
    question,
    fit,
    workloadId,
    wanted: answerOfUse[use],
    hazard: acceptableHazardPerMinute(targetOfUse[use]),
    costs: { ...usualBenchCosts, ...question.costs },
    bounds: attemptBoundsOf(chip, rows),
    failures,
    proven: provenRunsOf(rows, failures, workloads, workloadId),
    blocked: [...fit.frame.notes, stockCrashNote(fit.frame, rows) ?? []].flat(),
  };
}

/** Settings that are not proposed: passed over by the tester, as hard as what failed, or too hot. */
export const refusesAt =
  (desk: Desk) =>
  (setting: Setting): boolean =>
    isPassedOver(desk, setting) ||
    barring(desk.failures, setting) !== undefined ||
    isForecastTooHot(desk, setting);

/** Settings that no answer may be: contested, or too hot. */
export const isRuledOutAt =
  (desk: Desk) =>
  (setting: Setting): boolean =>
    contesting(desk.failures, setting) !== undefined || isForecastTooHot(desk, setting);

export const isPassedOver = ({ question }: Desk, { clockMhz, voltageMv }: Setting): boolean =>
  (question.passedOver ?? []).some((other) => other.clockMhz === clockMhz && other.voltageMv === voltageMv);

/** Why a setting that would be worth trying is not proposed; nothing where it is. */
export function barredWords(desk: Desk, setting: Setting): readonly string[] {
  const failure = barring(desk.failures, setting);
  return [
    ...(failure === undefined ? [] : [barredNote(failure)]),
    ...(isForecastTooHot(desk, setting)
      ? [tooHotNote(setting, forecastMarginC(desk, setting), desk.question.hottestAmbientC)]
      : []),
  ];
}

const isForecastTooHot = (desk: Desk, setting: Setting): boolean => forecastMarginC(desk, setting) < 0;

/** At the hottest room planned for; unknown counts as enough. */
function forecastMarginC({ fit, question, workloadId }: Desk, { clockMhz, voltageMv }: Setting): number {
  if (fit.heat.law === null) return Infinity;
  const riseC = fit.heat.riseC(clockMhz, voltageMv, workloadId);
  return question.chip.tempLimitC - (question.hottestAmbientC + riseC);
}

export const nothingAllowed = ({ blocked }: Desk): TooLittle => ({
  state: "too-little",
  because: ["Every setting worth trying was passed over or may not be proposed.", ...blocked].join(" "),
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
