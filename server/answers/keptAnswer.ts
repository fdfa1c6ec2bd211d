import type { BestAnswer, BestQuestion } from "../bench/best/bestSetting.ts";
import type { BuildAim } from "../bench/things/aim.ts";
import type { Journal } from "../store/file/journal.ts";
import { type AnswerGrounds, groundsOf, type Mover, moversSince } from "./answerGrounds.ts";

/** An answer as it was fitted, what it rested on, and what had moved it from the one before. */
export type KeptAnswer = Readonly<{
  answer: BestAnswer;
  grounds: AnswerGrounds;
  changedBecause: readonly Mover[];
}>;

/** What this process has fitted; the journal keeps it for the next. */
const landed = new WeakMap<Journal, Map<string, KeptAnswer>>();

const keyOf = (buildId: string, { use, goal }: BuildAim): string => `${buildId} ${use} ${goal}`;

/** The last answer fitted, of this process or an earlier one; null where none ever was. */
export const keptAnswerOf = (journal: Journal, buildId: string, aim: BuildAim): KeptAnswer | null =>
  landed.get(journal)?.get(keyOf(buildId, aim)) ??
  (journal.keptAnswers.find(buildId, aim) as KeptAnswer | undefined) ??
  null;

/** Takes over what a fit has answered. It is written down beside the question: a write that fails loses nothing but a fit. */
export function keepLanded(
  journal: Journal,
  buildId: string,
  aim: BuildAim,
  answer: BestAnswer,
  request: () => BestQuestion,
): KeptAnswer {
  const before = keptAnswerOf(journal, buildId, aim);
  if (before?.answer === answer) return before;
  const question = request();
  const kept = {
    answer,
    grounds: groundsOf(question),
    changedBecause: changedSince(before, answer, question),
  };
  const ours = landed.get(journal) ?? new Map<string, KeptAnswer>();
  landed.set(journal, ours.set(keyOf(buildId, aim), kept));
  if (JSON.stringify(before) !== JSON.stringify(kept))
    journal.write(() => journal.keptAnswers.keep(buildId, aim, kept)).catch(() => undefined);
  return kept;
}

/** On the same grounds what moved it last is still the news; else only what moved the setting is. */
function changedSince(
  before: KeptAnswer | null,
  answer: BestAnswer,
  question: BestQuestion,
): readonly Mover[] {
  if (before === null) return [];
  if (JSON.stringify(before.grounds) === JSON.stringify(groundsOf(question))) return before.changedBecause;
  return isSameSetting(before.answer, answer) ? [] : moversSince(question, before.grounds);
}

const isSameSetting = (one: BestAnswer, other: BestAnswer): boolean =>
  one.setting?.clockMhz === other.setting?.clockMhz && one.setting?.voltageMv === other.setting?.voltageMv;
