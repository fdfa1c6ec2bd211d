import { createHash } from "node:crypto";
import type { BestQuestion } from "../bench/best/bestSetting.ts";
import type { EvidenceRow } from "../bench/things/evidenceRow.ts";
import { outcomeWords } from "../bench/things/outcome.ts";
import { megahertz, volts } from "../bench/things/words.ts";

/** Prints of what an answer rested on: its own attempts, what the journal learnt elsewhere, and what is written down. */
export type AnswerGrounds = Readonly<{ attempts: readonly string[]; learnt: string; written: string }>;

/** What moved an answer: an attempt, or something else in words. */
export type Mover = Readonly<{ attemptId: string | null; words: string }>;

const idLength = 11;

const printOf = (value: unknown): string =>
  createHash("sha256").update(JSON.stringify(value)).digest("base64url").slice(0, idLength);

/** Which attempt, and what it says. */
const printOfRow = (row: EvidenceRow): string => printOf(row.id) + printOf(row);
const idIn = (print: string): string => print.slice(0, idLength);

export function groundsOf(question: BestQuestion): AnswerGrounds {
  const { rows, chip, hottestAmbientC, workloads, costs: _, held: __, scores: ___, ...learnt } = question;
  return {
    attempts: rows.map(printOfRow),
    learnt: printOf(learnt),
    written: printOf({ chip, hottestAmbientC, workloads }),
  };
}

/** The attempts that are new or say something else since. */
export function attemptsSince(question: BestQuestion, before: AnswerGrounds): EvidenceRow[] {
  const known = new Set(before.attempts);
  return question.rows.filter((row) => !known.has(printOfRow(row)));
}

const mostNamed = 5;

/** What came between: the attempts, else what was taken away, what was written down, or what was learnt elsewhere. */
export function moversSince(question: BestQuestion, before: AnswerGrounds): Mover[] {
  const now = groundsOf(question);
  const since = attemptsSince(question, before);
  const present = new Set(now.attempts.map(idIn));
  const gone = before.attempts.filter((print) => !present.has(idIn(print))).length;
  const words = [
    gone > 0 ? `${gone === 1 ? "An attempt was" : `${gone} attempts were`} set aside or deleted.` : "",
    now.written === before.written
      ? ""
      : "What is written down of the chip, the build or its loads was changed.",
    now.learnt === before.learnt ? "" : "Other builds and chips taught the journal something.",
  ].filter((sentence) => sentence !== "");
  return [
    ...since.reverse().slice(0, mostNamed).map(moverOf),
    ...words.map((words) => ({ attemptId: null, words })),
  ];
}

const moverOf = (row: EvidenceRow): Mover => ({
  attemptId: row.id,
  words: `${megahertz(row.clockMhz)} at ${volts(row.voltageMv)} ${outcomeWords[row.outcome]}${after(row.durationS)}.`,
});

const after = (durationS: number): string => {
  if (durationS === 0) return "";
  return durationS < 60 ? ` after ${Math.round(durationS)} s` : ` after ${Math.round(durationS / 60)} min`;
};
