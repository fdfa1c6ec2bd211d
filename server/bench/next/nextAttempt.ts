import { loadedRows } from "../limit/limitEvidence.ts";
import { type LimitFit, limitFitOf, startInWords, type TooLittle } from "../limit/limitFit.ts";
import { limitDrawsOf } from "../limit/limitReach.ts";
import { againOf } from "./nextAgain.ts";
import type { NextAnswer, NextQuestion, Proposal } from "./nextAnswer.ts";
import { isPassedOver, type NextDesk, nextDeskOf } from "./nextDesk.ts";
import { atOneClock, atOneVoltage } from "./nextOnLadder.ts";
import { overVoltages } from "./nextOverVoltages.ts";
import { proposalOf } from "./nextProposal.ts";
import { type TrialForecast, trialForecastsOf } from "./trialForecast.ts";

export type {
  LeaveRunning,
  NextAnswer,
  NextQuestion,
  PlannedAttempt,
  Proposal,
  Setting,
  Settled,
} from "./nextAnswer.ts";

export function nextAttemptOf(question: NextQuestion): NextAnswer {
  const fit = limitFitOf(question);
  return fit === null ? nothingToStartFrom : nextFromFit(question, fit);
}

const nothingToStartFrom: TooLittle = {
  state: "too-little",
  because: "There is no attempt yet, and the chip's stock clock and voltage are not entered.",
  needs: "Enter the stock clock and voltage of the chip, or record a first attempt.",
};

/** The answer, with the builds that taught its start named in the sentence. */
function nextFromFit(question: NextQuestion, fit: LimitFit): NextAnswer {
  const answer = answerAt(nextDeskOf(question, fit));
  if ("state" in answer) return answer;
  return { ...answer, because: `${answer.because}${startInWords(fit.taughtBy)}` };
}

function answerAt(desk: NextDesk): NextAnswer {
  const { question } = desk;
  const beginning = beginningOf(desk);
  if (beginning !== null) return beginning;
  const again = question.again == null ? null : againOf(desk);
  if (again !== null) return again;
  if (question.voltageMv != null) return atOneVoltage(desk, question.voltageMv);
  if (question.clockMhz != null) return atOneClock(desk, question.clockMhz);
  const wanted = question.voltagesMv ?? [];
  const voltages = [...new Set(wanted.length > 0 ? wanted : voltagesTried(desk))].sort((a, b) => a - b);
  return overVoltages(desk, voltages);
}

/** Before anything ran nothing is known of this board, cooler and case: the first attempt is what is known to run. */
function beginningOf(desk: NextDesk): Proposal | null {
  const { begin = null } = desk.question;
  if (begin === null || isPassedOver(desk, begin)) return null;
  const { workloadId, durationS, because } = begin;
  const draws = limitDrawsOf(desk.fit, desk.fit.draws, workloadId);
  const [trial] = trialForecastsOf(draws, begin, [durationS / 60], desk.costs) as [TrialForecast];
  return { ...proposalOf(desk, trial, "screen", because), workloadId, durationS };
}

function voltagesTried({ question, fit }: NextDesk): number[] {
  const tried = loadedRows(question.rows, question.workloads).map(({ voltageMv }) => voltageMv);
  return tried.length > 0 ? tried : [fit.frame.voltageMv];
}
