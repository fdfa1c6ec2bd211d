import { type ProvenRuns, provenFromS, provenRunsOf } from "../frontier/provenRuns.ts";
import { barring, contesting, type Failure, failuresOf } from "../frontier/standingFailures.ts";
import { acceptableHazardPerMinute, answerOfUse, type Target, targetOfUse } from "../limit/acceptance.ts";
import { type AttemptBounds, attemptBoundsOf } from "../limit/attemptBounds.ts";
import { excusedBy } from "../limit/doubtfulRecords.ts";
import { loadedRows, rowsThatMayFail } from "../limit/limitEvidence.ts";
import type { LimitFit, TooLittle } from "../limit/limitFit.ts";
import { stockCrashNote } from "../limit/limitFrame.ts";
import { clockStepsOf } from "../things/clockSteps.ts";
import type { Setting } from "../things/setting.ts";
import { clockWords, type UnitOfClock, volts } from "../things/words.ts";
import { type BenchCosts, usualBenchCosts } from "./benchCosts.ts";
import type { NextQuestion } from "./nextAnswer.ts";
import { barredNote, oddNote, tooWarmNote } from "./nextWords.ts";
import { trialMinutes } from "./trialForecast.ts";
import { type Warmth, warmthOf, whyTooWarm } from "./warmth.ts";

/** What a proposal is made from: the question, the fit, what ran and what failed, what may be tried, and what was wanted and may not be. */
export type NextDesk = Readonly<{
  question: NextQuestion;
  fit: LimitFit;
  workloadId: string | null;
  /** What an answer must pass, and the hazard at which a limit counts as met. */
  wanted: Target;
  hazard: number;
  costs: BenchCosts;
  bounds: AttemptBounds;
  failures: readonly Failure[];
  /** Failures believed to be something else, each alone at its place: they stand against no answer. */
  odd: readonly Failure[];
  proven: ProvenRuns;
  warmth: Warmth;
  blocked: string[];
}>;

export function nextDeskOf(
  question: NextQuestion,
  fit: LimitFit,
  workloadId: string | null = question.workloadId ?? fit.heaviestId,
): NextDesk {
  const { chip, workloads, use = "benchmark" } = question;
  const rows = loadedRows(question.rows, workloads);
  const failing = rowsThatMayFail(question.rows, workloads);
  const excused = excusedBy(fit);
  const asked = { rows: failing, chip, workloads, workloadId };
  const failures = failuresOf({ ...asked, doubted: excused });
  return {
    question,
    fit,
    workloadId,
    wanted: answerOfUse[use],
    hazard: acceptableHazardPerMinute(targetOfUse[use]),
    costs: { ...usualBenchCosts, ...question.costs },
    bounds: attemptBoundsOf(chip, rows),
    failures,
    odd:
      excused.size === 0
        ? []
        : failuresOf({ ...asked, doubted: new Set() }).filter(({ row }) => excused.has(row.id)),
    proven: provenRunsOf(rows, failures, workloads, workloadId),
    warmth: warmthOf(question, rows, fit.heat.law, workloadId),
    blocked: [...fit.frame.notes, stockCrashNote(fit.frame, rows) ?? []].flat(),
  };
}

/** What the clocks of the chip are told in. */
export const clockUnitOf = ({ question }: NextDesk): UnitOfClock => question.chip.clockUnit;

/** Settings that are not proposed: passed over by the tester, as hard as what failed, or too warm to become the answer. */
export const refusesAt =
  (desk: NextDesk) =>
  (setting: Setting): boolean =>
    isPassedOver(desk, setting) ||
    barring(desk.failures, setting) !== undefined ||
    beyondOdd(desk, setting) !== undefined ||
    whyTooWarm(desk.warmth, setting) !== null;

/**
 * The odd failure that a setting lies beyond, until as hard a setting as that one has passed for ten minutes: the same again
 * says soonest whether it was odd, and a step beyond it would be no wiser.
 */
export const beyondOdd = ({ odd, proven }: NextDesk, setting: Setting): Failure | undefined =>
  odd.find(
    (failure) =>
      !failure.outlived &&
      contesting([failure], setting) !== undefined &&
      (setting.clockMhz > failure.clockMhz || setting.voltageMv < failure.voltageMv) &&
      proven.longestS(failure) < provenFromS,
  );

/** Settings that no answer may be: contested, or too warm. */
export const isRuledOutAt =
  (desk: NextDesk) =>
  (setting: Setting): boolean =>
    contesting(desk.failures, setting) !== undefined || whyTooWarm(desk.warmth, setting) !== null;

export const isPassedOver = ({ question }: NextDesk, { clockMhz, voltageMv }: Setting): boolean =>
  (question.passedOver ?? []).some((other) => other.clockMhz === clockMhz && other.voltageMv === voltageMv);

/** Why a setting that would be worth trying is not proposed; nothing where it is. */
export function barredWords(desk: NextDesk, setting: Setting): readonly string[] {
  const failure = barring(desk.failures, setting);
  const odd = beyondOdd(desk, setting);
  const tooWarm = whyTooWarm(desk.warmth, setting);
  return [
    ...(failure === undefined ? [] : [barredNote(failure, clockUnitOf(desk))]),
    ...(odd === undefined ? [] : [oddNote(odd, clockUnitOf(desk))]),
    ...(tooWarm === null ? [] : [tooWarmNote(setting, tooWarm, clockUnitOf(desk))]),
  ];
}

export const nothingAllowed = ({ blocked }: NextDesk): TooLittle => ({
  state: "too-little",
  because: ["Every setting worth trying was passed over or may not be proposed.", ...blocked].join(" "),
  needs: "Take back what was passed over, or ask for another voltage or clock.",
});

/** Voltages out of reach for now are reached step by step; above the ceiling they never are. */
export function underCeiling({ bounds, blocked, question }: NextDesk, askedMv: number): number {
  const ceilingMv = question.chip.voltageCeilingMv ?? bounds.highestMv;
  if (ceilingMv === null || askedMv <= ceilingMv) return askedMv;
  blocked.push(
    `${volts(askedMv)} is above ${volts(ceilingMv)}, as far as the chip's entry goes; the map ends there.`,
  );
  return ceilingMv;
}

export function allowedVoltage({ bounds, blocked }: NextDesk, askedMv: number): number {
  if (bounds.highestMv === null || askedMv <= bounds.highestMv) return askedMv;
  blocked.push(
    `${volts(askedMv)} is ${bounds.voltageBecause}; ${volts(bounds.highestMv)} is as far as a proposal goes.`,
  );
  return bounds.highestMv;
}

/** With the guard that daily use adds, the answer goes no higher than the ceiling: what is looked for lies so far below it. */
export function roomForGuard(desk: NextDesk, askedMv: number): number {
  const { guardMv } = desk.warmth;
  const mostMv = mostWithGuard(desk);
  if (guardMv === 0 || mostMv === null || askedMv <= mostMv) return askedMv;
  const end =
    desk.question.chip.voltageCeilingMv === null
      ? "the highest tried or stock, and no ceiling is entered"
      : "the chip's ceiling";
  const note = `Daily use adds a guard of ${guardMv} mV to what holds. ${volts(mostMv + guardMv)} is ${end}: ${volts(mostMv)} is looked at.`;
  if (!desk.blocked.includes(note)) desk.blocked.push(note);
  return mostMv;
}

/** The highest voltage at which anything may hold that is to be the answer, as far as is known; null where nothing is. */
export function mostWithGuard({ bounds, question, warmth }: NextDesk): number | null {
  const endMv = question.chip.voltageCeilingMv ?? bounds.highestMv;
  return endMv === null ? null : endMv - warmth.guardMv;
}

export function allowedClock({ bounds, blocked, question }: NextDesk, askedMhz: number): number {
  if (bounds.highestMhz === null || askedMhz <= bounds.highestMhz) return askedMhz;
  const unit = question.chip.clockUnit;
  blocked.push(
    `${clockWords(askedMhz, unit)} is ${bounds.clockBecause}; ${clockWords(bounds.highestMhz, unit)} is as far as a proposal goes.`,
  );
  return bounds.highestMhz;
}

export const clocksFor = ({ question, bounds, fit }: NextDesk) => ({
  steps: clockStepsOf(question.chip),
  highestMhz: bounds.highestMhz ?? fit.frame.clockMhz,
});

/** With little time, only runs that fit into it. */
export function durationsFor({ question, costs }: NextDesk): readonly number[] {
  const { minutes } = question;
  if (minutes == null) return trialMinutes;
  const fitting = trialMinutes.filter((duration) => costs.setupMinutes + duration <= minutes);
  return fitting.length > 0 ? fitting : [trialMinutes[0]];
}
