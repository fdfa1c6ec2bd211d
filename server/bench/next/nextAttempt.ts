import { loadedRows } from "../limit/limitEvidence.ts";
import { type LimitFit, limitFitOf, startInWords, type TooLittle } from "../limit/limitFit.ts";
import { againOf } from "./nextAgain.ts";
import type { NextAnswer, NextQuestion } from "./nextAnswer.ts";
import { type Desk, deskOf } from "./nextDesk.ts";
import { atOneClock, atOneVoltage } from "./nextOnLadder.ts";
import { overVoltages } from "./nextOverVoltages.ts";

export type {
  LeaveRunning,
  MappedLimit,
  NextAnswer,
  NextQuestion,
  PlannedAttempt,
  Proposal,
  Purpose,
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
export function nextFromFit(question: NextQuestion, fit: LimitFit): NextAnswer {
  const answer = answerAt(deskOf(question, fit));
  if ("state" in answer) return answer;
  return { ...answer, because: `${answer.because}${startInWords(fit.taughtBy)}` };
}

function answerAt(desk: Desk): NextAnswer {
  const { question } = desk;
  const again = question.again == null ? null : againOf(desk);
  if (again !== null) return again;
  if (question.voltageMv != null) return atOneVoltage(desk, question.voltageMv);
  if (question.clockMhz != null) return atOneClock(desk, question.clockMhz);
  const wanted = question.voltagesMv ?? [];
  const voltages = [...new Set(wanted.length > 0 ? wanted : voltagesTried(desk))].sort((a, b) => a - b);
  return overVoltages(desk, voltages);
}

function voltagesTried({ question, fit }: Desk): number[] {
  const tried = loadedRows(question.rows, question.workloads).map(({ voltageMv }) => voltageMv);
  return tried.length > 0 ? tried : [fit.frame.voltageMv];
}
