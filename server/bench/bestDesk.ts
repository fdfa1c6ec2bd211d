import { resampled } from "../numerics/particles.ts";
import { acceptableHazardPerMinute, targetOfUse, type Use } from "./acceptance.ts";
import { attemptBoundsOf } from "./attemptBounds.ts";
import { evidenceClockMhz } from "./evidence.ts";
import type { EvidenceRow } from "./evidenceRow.ts";
import { loadedRows } from "./limitEvidence.ts";
import type { LimitContext, LimitFit } from "./limitFit.ts";
import { type LimitDraws, limitDrawsOf } from "./limitReach.ts";
import type { Setting } from "./nextAnswer.ts";
import { outcomeClass } from "./outcome.ts";
import { type PerWatt, type PerWattBasis, perWattOf } from "./perWatt.ts";
import { type PowerLaw, powerLawOf } from "./powerLaw.ts";
import type { WorkRun } from "./workRate.ts";

export const goals = ["clock", "efficiency", "cool"] as const;
export type Goal = (typeof goals)[number];

export type BestQuestion = LimitContext &
  Readonly<{
    goal: Goal;
    use: Use;
    workloadId?: string | null;
    /** Settings held by the acceptance rule, for where no limit can be fitted. */
    held?: readonly Setting[];
    /** The build's runs that carry a score; efficiency is counted in them. */
    scores?: readonly WorkRun[];
  }>;

export type RecommendedSetting = Setting &
  Readonly<{
    workloadId: string | null;
    /** The chance that it meets the use's target; null where it rests on the acceptance rule alone. */
    chance: number | null;
    /** "about one crash per 80 hours", stray crashes included; null where it rests on the rule alone. */
    crashes: string | null;
    loadTempC: Readonly<{ mid: number; low: number; high: number }> | null;
    marginC: number | null;
    powerW: number | null;
    /** What it may be expected to score, under the load that efficiency is counted in; null for other goals. */
    score: number | null;
    scorePerW: number | null;
    from: "fitted" | "held";
  }>;

export type BestAnswer = Readonly<{
  setting: RecommendedSetting | null;
  because: readonly string[];
  passedOver: readonly Readonly<{ setting: Setting; because: string }>[];
  /** What one more attempt could change. */
  couldChange: string | null;
  /** For efficiency, what it is counted in and why; null for other goals. */
  perWatt: PerWattBasis | null;
}>;

/** A setting is good enough where it meets its target with this chance. */
export const acceptedChance = 0.8;

/** What a setting is chosen from: the question, the fit, and what is known of its power. */
export type Desk = Readonly<{
  question: BestQuestion;
  fit: LimitFit;
  draws: LimitDraws;
  workloadId: string | null;
  hazard: number;
  power: PowerLaw | undefined;
  perWatt: PerWatt | null;
  highestPassedMhz: number;
  /** Lowest and highest voltage tried. */
  triedMv: readonly [number, number];
  highestMv: number;
}>;

export function deskOf(question: BestQuestion, fit: LimitFit): Desk {
  const rows = loadedRows(question.rows, question.workloads);
  const workloadId = question.workloadId ?? fit.heaviestId;
  const passed = rows.filter(({ outcome }) => outcomeClass(outcome) === "pass");
  const voltages = rows.map(({ voltageMv }) => voltageMv);
  const triedMv = [Math.min(...voltages), Math.max(...voltages)] as const;
  return {
    question,
    fit,
    draws: limitDrawsOf(fit, resampled(fit.draws, 1000, 0.5), workloadId),
    workloadId,
    hazard: acceptableHazardPerMinute(targetOfUse[question.use]),
    power: powerLawOf(rows),
    perWatt: question.goal === "efficiency" ? perWattAsked(question, rows) : null,
    highestPassedMhz: passed.reduce((most, row) => Math.max(most, evidenceClockMhz(row) ?? 0), 0),
    triedMv,
    highestMv: attemptBoundsOf(question.chip, rows).highestMv ?? triedMv[1],
  };
}

const perWattAsked = (question: BestQuestion, rows: readonly EvidenceRow[]): PerWatt =>
  perWattOf({
    rows,
    scores: question.scores ?? [],
    workloads: question.workloads,
    asked: question.workloadId ?? null,
  });
