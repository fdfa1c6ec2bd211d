import { LRUCache } from "lru-cache";
import type { BestAnswer } from "../bench/best/bestSetting.ts";
import type { OffsetAnswer } from "../bench/scale/offsetAnswer.ts";
import type { BuildAim } from "../bench/things/aim.ts";
import type { Journal } from "../store/file/journal.ts";
import { type AnswerGrounds, type Grounded, groundsOf, type Mover, moversSince } from "./answerGrounds.ts";

/** An answer under its name, as it was fitted, what it rested on, and what had moved it from the one before. */
export type KeptFit<Name extends string, Answer> = Readonly<
  Record<Name, Answer> & { grounds: AnswerGrounds; changedBecause: readonly Mover[] }
>;

const keyOf = (buildId: string, { use, goal }: BuildAim): string => `${buildId} ${use} ${goal}`;

/** Others are read from the journal again. */
const mostLanded = 500;

/** What this process has fitted of one kind of answer; the journal keeps it for the next. */
export function keptFits<Name extends string, Answer>(
  name: Name,
  isSame: (one: Answer, other: Answer) => boolean,
) {
  type Kept = KeptFit<Name, Answer>;
  const landed = new WeakMap<Journal, LRUCache<string, Kept>>();

  /** The last one fitted, of this process or an earlier one; null where none was, or the chip was set otherwise then. */
  function find(journal: Journal, buildId: string, aim: BuildAim): Kept | null {
    const own = landed.get(journal)?.get(keyOf(buildId, aim));
    if (own !== undefined) return own;
    const kept: unknown = journal.keptAnswers.find(buildId, aim);
    return typeof kept === "object" && kept !== null && name in kept ? (kept as Kept) : null;
  }

  /** On the same grounds what moved it last is still the news; else only what moved the setting is. */
  function changedSince(before: Kept | null, answer: Answer, question: Grounded): readonly Mover[] {
    if (before === null) return [];
    if (JSON.stringify(before.grounds) === JSON.stringify(groundsOf(question))) return before.changedBecause;
    return isSame(before[name], answer) ? [] : moversSince(question, before.grounds);
  }

  /** Takes over what a fit has answered. It is written down beside the question: a write that fails loses nothing but a fit. */
  function keep(
    journal: Journal,
    buildId: string,
    aim: BuildAim,
    answer: Answer,
    request: () => Grounded,
  ): Kept {
    const before = find(journal, buildId, aim);
    if (before?.[name] === answer) return before;
    const question = request();
    const kept = {
      [name]: answer,
      grounds: groundsOf(question),
      changedBecause: changedSince(before, answer, question),
    } as Kept;
    const ours = landed.get(journal) ?? new LRUCache<string, Kept>({ max: mostLanded });
    landed.set(journal, ours.set(keyOf(buildId, aim), kept));
    if (JSON.stringify(before) !== JSON.stringify(kept))
      journal.write(() => journal.keptAnswers.keep(buildId, aim, kept)).catch(() => undefined);
    return kept;
  }

  return { find, keep };
}

export type KeptAnswer = KeptFit<"answer", BestAnswer>;

const isSameSetting = (one: BestAnswer, other: BestAnswer): boolean =>
  one.setting?.clockMhz === other.setting?.clockMhz && one.setting?.voltageMv === other.setting?.voltageMv;

/** Answers of builds set by clock, as they were last fitted. */
export const keptBest = keptFits<"answer", BestAnswer>("answer", isSameSetting);

const listOf = ({ parts }: OffsetAnswer): string =>
  JSON.stringify(parts.map(({ part, setting }) => [part, setting?.level ?? null]));

/** Answers of builds set by offset, as they were last fitted. */
export const keptOffsets = keptFits<"byOffset", OffsetAnswer>(
  "byOffset",
  (one, other) => listOf(one) === listOf(other),
);
