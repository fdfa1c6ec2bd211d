import type { NextAnswer, Proposal, Settled } from "../bench/next/nextAttempt.ts";
import { clockWords, volts } from "../bench/things/words.ts";
import type { Journal } from "../store/file/journal.ts";
import { answerOf } from "./answerOf.ts";
import { buildAsked } from "./buildAsked.ts";
import { type BuildNextQuestion, latestAnswerTo, nextQuestion } from "./limitOfBuild.ts";
import {
  clearOfBars,
  lowerProposalFor,
  type ProposalTold as PlainProposal,
  proposalFor,
} from "./proposal.ts";
import type { Reckonings } from "./reckoned.ts";
import { standingBarsOf } from "./standingBars.ts";

/** The plain rule's step in the shape of a fitted proposal; what takes a fit is null. */
export type PlainNext = Omit<Proposal, "chanceOfPass" | "expectedMinutes"> &
  Readonly<{ chanceOfPass: null; expectedMinutes: null }>;

/**
 * The next attempt as last fitted, where nothing recorded since speaks against it; at the voltage of an answer that was
 * done that it is settled, as long as the answer stands; else the plain rule's step.
 */
export function nextAtOnce(
  journal: Journal,
  reckonings: Reckonings,
  asked: BuildNextQuestion,
): Readonly<{ next: NextAnswer | PlainNext; reckoning: boolean }> {
  const latest = latestAnswerTo(reckonings, nextQuestion(journal, asked));
  if (latest?.fresh) return { next: latest.answer, reckoning: false };
  const settled = settledAsKept(journal, reckonings, asked);
  if (settled !== null) return { next: settled, reckoning: true };
  const isOpen = latest !== null && isStillOpen(journal, asked.buildId, latest.answer);
  return { next: isOpen ? latest.answer : plainNext(journal, asked), reckoning: true };
}

function settledAsKept(
  journal: Journal,
  reckonings: Reckonings,
  { buildId, voltageMv, clockMhz, voltagesMv, again, workloadId }: BuildNextQuestion,
): Settled | null {
  if (voltageMv === undefined || clockMhz !== undefined || voltagesMv !== undefined || again !== undefined)
    return null;
  const { state, setting, nearer } = answerOf(journal, reckonings, buildId);
  if (state !== "done" || setting === null || setting.chance === null || setting.guarded) return null;
  if (setting.voltageMv !== voltageMv || (workloadId ?? setting.workloadId) !== setting.workloadId)
    return null;
  const { chip } = buildAsked(journal, { buildId });
  return {
    settled: { clockMhz: setting.clockMhz, chance: setting.chance },
    because: `${clockWords(setting.clockMhz, chip.clockUnit)} at ${volts(voltageMv)} is the answer as it was kept.`,
    ...{ proof: null, nearer, leaveRunning: null, blocked: [], taughtBy: [] },
  };
}

function isStillOpen(journal: Journal, buildId: string, next: NextAnswer): boolean {
  if ("settled" in next || "state" in next) return false;
  const { isBarred, whyTooWarm, hasPassed } = standingBarsOf(journal, buildId, next.workloadId);
  return !isBarred(next) && whyTooWarm(next) === null && !hasPassed(next, next.durationS);
}

function plainNext(journal: Journal, { buildId, clockMhz }: BuildNextQuestion): NextAnswer | PlainNext {
  const lower = clockMhz === undefined ? null : lowerProposalFor(journal, buildId, clockMhz);
  const plain = clearOfBars(journal, buildId, lower ?? proposalFor(journal, buildId));
  return "missing" in plain
    ? { state: "too-little", because: plain.because, needs: "Record a first attempt." }
    : withoutFit(plain);
}

const withoutFit = (plain: PlainProposal): PlainNext => ({
  ...plain,
  chanceOfPass: null,
  expectedMinutes: null,
  expectedTempC: null,
  blocked: [],
  taughtBy: [],
  plan: null,
  planEndsSearch: false,
});
