import { type PowerLaw, powerLawOf } from "../heat/powerLaw.ts";
import { loadedRows } from "../limit/limitEvidence.ts";
import type { LimitContext, LimitFit } from "../limit/limitFit.ts";
import { type LimitDraws, limitDrawsOf } from "../limit/limitReach.ts";
import type { ToldPrior } from "../limit/sharpness.ts";
import type { BenchCosts } from "../next/benchCosts.ts";
import type { Nearer } from "../next/nextAnswer.ts";
import { type NextDesk as EvidenceDesk, nextDeskOf as evidenceDeskOf } from "../next/nextDesk.ts";
import type { Goal, Use } from "../things/aim.ts";
import type { KnobValues } from "../things/asSet.ts";
import type { Setting } from "../things/setting.ts";
import { type PerWatt, type PerWattBasis, perWattOf } from "./perWatt.ts";
import type { WorkRun } from "./workRate.ts";

export type BestQuestion = LimitContext &
  Readonly<{
    goal: Goal;
    use: Use;
    workloadId?: string | null;
    costs?: Partial<BenchCosts>;
    /** Settings held by the acceptance rule, for where no limit can be fitted. */
    held?: readonly Setting[];
    /** The build's runs that carry a score; efficiency is counted in them. */
    scores?: readonly WorkRun[];
  }>;

/** How far the search for the answer is: near enough and proved, near enough but not run yet, under way, or not begun. */
export type AnswerState = "looking" | "enough" | "done" | "too-little";

export type RecommendedSetting = Setting &
  Readonly<{
    workloadId: string | null;
    /** The knobs that belong to it, as they stood last; null where the chip has none. */
    knobs: KnobValues | null;
    /** The chance that the use's hours pass there, stray crashes left out; null where it rests on the acceptance rule alone. */
    chance: number | null;
    hours: number;
    /** The longest pass there or at a setting as hard or harder, in seconds. */
    ranS: number;
    /** True where the owner's guard is in it: one voltage step more than what was proved. */
    guarded: boolean;
    loadTempC: Readonly<{ mid: number; low: number; high: number }> | null;
    /** As passes there read it, the same figure as in the frontier; else as it is forecast. */
    marginC: number | null;
    marginFrom: "read" | "forecast" | null;
    powerW: number | null;
    /** What it may be expected to score, under the load that efficiency is counted in; null for other goals. */
    score: number | null;
    scorePerW: number | null;
    from: "fitted" | "held";
  }>;

/** The answer at one voltage, and how near it is known. */
export type VoltageAnswer = Readonly<{
  voltageMv: number;
  /** Null where nothing that ran there will do. */
  clockMhz: number | null;
  chance: number | null;
  marginC: number | null;
  /** The clocks that the limit reaches nine times in ten, and every other time. */
  lowMhz: number | null;
  highMhz: number | null;
  done: boolean;
  /** Why it will not do, such as its heat. */
  objection: string | null;
}>;

export type BestAnswer = Readonly<{
  state: AnswerState;
  /** The setting to run: it ran. */
  setting: RecommendedSetting | null;
  /** A better one that has not run, and the chance that ten minutes there pass. */
  worthTrying: (RecommendedSetting & Readonly<{ chanceOfPass: number }>) | null;
  /** The highest clock that ever passed, and why it is not the answer; null where it is. */
  highestSeen: (Setting & Readonly<{ attemptId: string; because: string }>) | null;
  nearer: Nearer | null;
  /** What was believed of how sharp the limit is before any attempt; null without a fit. */
  sharpness: ToldPrior | null;
  /** Each voltage tried, lowest first; empty where no limit can be fitted. */
  atVoltages: readonly VoltageAnswer[];
  because: readonly string[];
  passedOver: readonly Readonly<{ setting: Setting; because: string }>[];
  /** For efficiency, what it is counted in and why; null for other goals. */
  perWatt: PerWattBasis | null;
}>;

/** What a setting is chosen from: the question, the evidence, the fit, and what is known of its power. */
export type BestDesk = Readonly<{
  question: BestQuestion;
  evidence: EvidenceDesk;
  fit: LimitFit;
  draws: LimitDraws;
  workloadId: string | null;
  power: PowerLaw | undefined;
  perWatt: PerWatt | null;
  /** Every voltage tried, lowest first. */
  triedMv: readonly number[];
  highestMv: number;
}>;

export function bestDeskOf(question: BestQuestion, fit: LimitFit): BestDesk {
  const rows = loadedRows(question.rows, question.workloads);
  const evidence = evidenceDeskOf(question, fit);
  const triedMv = [...new Set(rows.map(({ voltageMv }) => voltageMv))].sort((a, b) => a - b);
  return {
    question,
    evidence,
    fit,
    draws: limitDrawsOf(fit, fit.draws, evidence.workloadId),
    workloadId: evidence.workloadId,
    power: powerLawOf(rows),
    perWatt: question.goal === "efficiency" ? perWattAsked(question, rows) : null,
    triedMv,
    highestMv: evidence.bounds.highestMv ?? triedMv.at(-1) ?? fit.frame.voltageMv,
  };
}

const perWattAsked = (question: BestQuestion, rows: LimitContext["rows"]): PerWatt =>
  perWattOf({
    clockUnit: question.chip.clockUnit,
    rows,
    scores: question.scores ?? [],
    workloads: question.workloads,
    asked: question.workloadId ?? null,
  });
