import {
  type ClockDifference,
  clockDifferenceOf,
  type DifferenceQuestion,
} from "../limit/clockDifference.ts";
import { type LimitAnswer, type LimitQuestion, limitAnswerOf } from "../limit/limitCurve.ts";
import type { TooLittle } from "../limit/limitFit.ts";
import { type PackedContext, unpacked } from "../limit/packedContext.ts";
import { type ChipSharpness, chipSharpnessOf } from "../limit/sharpnessLearnt.ts";
import { type NextAnswer, type NextQuestion, nextAttemptOf } from "../next/nextAttempt.ts";
import { type KnobNext, type KnobSearch, knobNextOf } from "../scale/knobSearch.ts";
import { type OffsetAnswer, offsetAnswerOf } from "../scale/offsetAnswer.ts";
import {
  type OffsetDifference,
  type OffsetDifferenceQuestion,
  offsetDifferenceOf,
} from "../scale/offsetDifference.ts";
import { type OffsetNext, offsetNextOf } from "../scale/offsetNext.ts";
import type { OffsetSearch } from "../scale/offsetSearch.ts";
import { type BestAnswer, type BestQuestion, bestSettingOf } from "./bestSetting.ts";

/** The questions that take a fit to answer, and their answers: plain values, so that a worker can be asked. */
export type FitQuestions = Readonly<{
  limit: LimitQuestion;
  next: NextQuestion;
  best: BestQuestion;
  sharpness: PackedContext;
  difference: DifferenceQuestion;
  offsetNext: OffsetSearch;
  offsetBest: OffsetSearch;
  offsetDifference: OffsetDifferenceQuestion;
  knobNext: KnobSearch;
}>;
export type FitAnswers = Readonly<{
  limit: LimitAnswer;
  next: NextAnswer;
  best: BestAnswer;
  sharpness: ChipSharpness | null;
  difference: ClockDifference | null;
  offsetNext: OffsetNext;
  offsetBest: OffsetAnswer | TooLittle;
  offsetDifference: OffsetDifference | null;
  knobNext: KnobNext;
}>;
export type FitKind = keyof FitQuestions;

const answering: { readonly [Kind in FitKind]: (question: FitQuestions[Kind]) => FitAnswers[Kind] } = {
  limit: limitAnswerOf,
  next: nextAttemptOf,
  best: bestSettingOf,
  sharpness: (packed) => chipSharpnessOf(unpacked(packed)),
  difference: clockDifferenceOf,
  offsetNext: offsetNextOf,
  offsetBest: offsetAnswerOf,
  offsetDifference: offsetDifferenceOf,
  knobNext: knobNextOf,
};

export function fitAnswerOf<Kind extends FitKind>(
  kind: Kind,
  question: FitQuestions[Kind],
): FitAnswers[Kind] {
  return answering[kind](question);
}
