import { loadedRows } from "./limitEvidence.ts";
import { type LimitFit, limitFitOf } from "./limitFit.ts";
import type { NextAnswer, NextQuestion, TooLittle } from "./nextAnswer.ts";
import { type Desk, deskOf } from "./nextDesk.ts";
import { atOneClock, atOneVoltage } from "./nextOnLadder.ts";
import { overVoltages } from "./nextOverVoltages.ts";

export type {
  MappedLimit,
  NextAnswer,
  NextQuestion,
  PlannedAttempt,
  Proposal,
  Purpose,
  Setting,
  Settled,
  TooLittle,
} from "./nextAnswer.ts";

export function nextAttemptOf(question: NextQuestion): NextAnswer {
  const fit = limitFitOf(question);
  if (fit === null) return nothingToStartFrom;
  return nextFromFit(question, fit);
}

const nothingToStartFrom: TooLittle = {
  state: "too-little",
  because: "There is no attempt yet, and the chip's stock clock and voltage are not entered.",
  needs: "Enter the stock clock and voltage of the chip, or record a first attempt.",
};

export function nextFromFit(question: NextQuestion, fit: LimitFit): NextAnswer {
  const desk = deskOf(question, fit);
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
