import type { BestQuestion } from "../bench/best/bestSetting.ts";
import { digestOf } from "../bench/things/digest.ts";
import type { TriedRow } from "../bench/things/evidenceRow.ts";
import { outcomeInSentence } from "../bench/things/outcome.ts";
import type { PlacedAttempt } from "../bench/things/placedAttempt.ts";
import { rowsMemory } from "../bench/things/rowsMemory.ts";
import { asSetWords, isSetByClock, type SettingUnits } from "../bench/things/setting.ts";
import { clockWords, volts } from "../bench/things/words.ts";
import { printOf } from "./prints.ts";

/** Prints of what an answer rested on: its own attempts, what the journal learnt elsewhere, and what is written down. */
export type AnswerGrounds = Readonly<{ attempts: readonly string[]; learnt: string; written: string }>;

/** What moved an answer: an attempt, or something else in words. */
export type Mover = Readonly<{ attemptId: string | null; words: string }>;

const idLength = 11;

const short = (print: string): string => print.slice(0, idLength);

const printsOfRows = new WeakMap<TriedRow, string>();

/** Which attempt, and what it says. Rows are never changed in place. */
function printOfRow(row: TriedRow): string {
  const print = printsOfRows.get(row) ?? short(digestOf(row.id)) + short(digestOf(JSON.stringify(row)));
  printsOfRows.set(row, print);
  return print;
}

const idOfPrint = (print: string): string => print.slice(0, idLength);

/** What an answer is asked from; of the rest what it costs and what is held by rule follow from the attempts. */
export type Grounded<Row extends TriedRow = TriedRow> = Pick<
  BestQuestion,
  "chip" | "hottestAmbientC" | "workloads"
> &
  Readonly<{ rows: readonly Row[]; placed?: readonly PlacedAttempt[] }> &
  Readonly<{ costs?: unknown; held?: unknown; scores?: unknown }>;

export function groundsOf(question: Grounded): AnswerGrounds {
  const { rows, chip, hottestAmbientC, workloads } = question;
  const { rows: _rows, chip: _chip, hottestAmbientC: _room, workloads: _loads, ...more } = question;
  const { placed: _placed, costs: _costs, held: _held, scores: _scores, ...learnt } = more;
  return {
    attempts: printsOf(question),
    learnt: short(printOf(learnt)),
    written: writtenOf({ rows, chip, hottestAmbientC, workloads }),
  };
}

/** The attempts an answer rested on; those on automatic voltage as they were recorded, wherever the droop now places them. */
const ownRows = ({ rows, placed = [] }: Grounded): readonly TriedRow[] => [
  ...rows,
  ...placed.map(({ row }) => ({ ...row, voltageMv: null })),
];

/** One list as long as the attempts are the same one: that nothing is new since is then seen at a glance. */
const printsOf = (question: Grounded): readonly string[] =>
  isPlaced(question)
    ? ownRows(question).map(printOfRow)
    : printsOfList(question.rows, null, () => question.rows.map(printOfRow));

const printsOfList = rowsMemory<readonly string[]>();

const isPlaced = ({ placed = [] }: Grounded): boolean => placed.length > 0;

const writtenOf = ({ chip, hottestAmbientC, workloads }: Grounded): string =>
  short(printOf({ chip, hottestAmbientC, workloads }));

/** Whether the build's own attempts and what is written down of it are as they were; elsewhere something may have been learnt. */
export const isOnSameRecord = (question: Grounded, before: AnswerGrounds): boolean =>
  ownRows(question).length === before.attempts.length &&
  attemptsSince(question, before).length === 0 &&
  writtenOf(question) === before.written;

/** The attempts that are new or say something else since. */
export const attemptsSince = (question: Grounded, before: AnswerGrounds): readonly TriedRow[] =>
  isPlaced(question)
    ? sinceAnew(question, before)
    : newSince(question.rows, before.attempts, () => sinceAnew(question, before));

const newSince = rowsMemory<readonly TriedRow[]>();

function sinceAnew(question: Grounded, before: AnswerGrounds): readonly TriedRow[] {
  if (printsOf(question) === before.attempts) return [];
  const known = new Set(before.attempts);
  return ownRows(question).filter((row) => !known.has(printOfRow(row)));
}

const mostNamed = 5;

/** What came between: the attempts, else what was taken away, what was written down, or what was learnt elsewhere. */
export function moversSince(question: Grounded, before: AnswerGrounds): Mover[] {
  const now = groundsOf(question);
  const since = attemptsSince(question, before);
  const present = new Set(now.attempts.map(idOfPrint));
  const gone = before.attempts.filter((print) => !present.has(idOfPrint(print))).length;
  const words = [
    gone > 0 ? `${gone === 1 ? "An attempt was" : `${gone} attempts were`} set aside or deleted.` : "",
    now.written === before.written
      ? ""
      : "What is written down of the chip, the build or its loads was changed.",
    now.learnt === before.learnt ? "" : "Other builds and chips taught the journal something.",
  ].filter((sentence) => sentence !== "");
  return [
    ...since
      .toReversed()
      .slice(0, mostNamed)
      .map((row) => moverOf(row, question.chip)),
    ...words.map((words) => ({ attemptId: null, words })),
  ];
}

const moverOf = (row: TriedRow, chip: SettingUnits): Mover => ({
  attemptId: row.id,
  words: `${setWords(row, chip)} ${outcomeInSentence[row.outcome]}${after(row.durationS)}.`,
});

const setWords = (row: TriedRow, chip: SettingUnits): string =>
  isSetByClock(row)
    ? `${clockWords(row.clockMhz, chip.clockUnit)} at ${volts(row.voltageMv)}`
    : asSetWords(row, chip);

const after = (durationS: number): string => {
  if (durationS === 0) return "";
  return durationS < 60 ? ` after ${Math.round(durationS)} s` : ` after ${Math.round(durationS / 60)} min`;
};
