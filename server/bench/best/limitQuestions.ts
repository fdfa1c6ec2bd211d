import { type LimitAnswer, type LimitQuestion, limitAnswerOf } from "../limit/limitCurve.ts";
import type { LimitContext } from "../limit/limitFit.ts";
import { type ChipSharpness, chipSharpnessOf } from "../limit/sharpnessLearnt.ts";
import { type NextAnswer, type NextQuestion, nextAttemptOf } from "../next/nextAttempt.ts";
import { type BestAnswer, type BestQuestion, bestSettingOf } from "./bestSetting.ts";

/** The questions that take a fit to answer, and their answers: plain values, so that a worker can be asked. */
export type FitQuestions = Readonly<{
  limit: LimitQuestion;
  next: NextQuestion;
  best: BestQuestion;
  sharpness: LimitContext;
}>;
export type FitAnswers = Readonly<{
  limit: LimitAnswer;
  next: NextAnswer;
  best: BestAnswer;
  sharpness: ChipSharpness | null;
}>;
export type FitKind = keyof FitQuestions;

const answering: { readonly [Kind in FitKind]: (question: FitQuestions[Kind]) => FitAnswers[Kind] } = {
  limit: limitAnswerOf,
  next: nextAttemptOf,
  best: bestSettingOf,
  sharpness: chipSharpnessOf,
};

export const fitAnswerOf = <Kind extends FitKind>(
  kind: Kind,
  question: FitQuestions[Kind],
): FitAnswers[Kind] => answering[kind](question);
