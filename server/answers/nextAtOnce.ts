import type { NextAnswer, Proposal } from "../bench/next/nextAttempt.ts";
import type { Journal } from "../store/file/journal.ts";
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

/** The next attempt as last fitted, where nothing recorded since speaks against it; else the plain rule's step. */
export function nextAtOnce(
  journal: Journal,
  reckonings: Reckonings,
  asked: BuildNextQuestion,
): Readonly<{ next: NextAnswer | PlainNext; reckoning: boolean }> {
  const latest = latestAnswerTo(reckonings, nextQuestion(journal, asked));
  if (latest?.fresh) return { next: latest.answer, reckoning: false };
  const isOpen = latest !== null && isStillOpen(journal, asked.buildId, latest.answer);
  return { next: isOpen ? latest.answer : plainNext(journal, asked), reckoning: true };
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
});
