import { type GaveWay, joinedGaveWay, stampOfGaveWay } from "../bench/document/gaveWay.ts";
import type { Stamp } from "../bench/document/stamp.ts";
import type { Journal } from "../store/file/journal.ts";
import type { StagedDocument } from "../store/file/stagedDocument.ts";
import type { At } from "./context.ts";
import { type Chunks, type Outlined, thinned, unbroken } from "./keptTrace.ts";
import { noteBefore, type Tally } from "./mergeTally.ts";

/** A trace as it stays in the history once it has given way; `written` is the stamp it stood with. */
export function traceGivenWay(attemptId: string, written: Stamp, outline: Outlined, chunks: Chunks): GaveWay {
  const trace = thinned(outline, chunks);
  return { attemptId, what: "trace", stamp: stampOfGaveWay(written, trace), trace };
}

export const outputGivenWay = (attemptId: string, written: Stamp, output: string): GaveWay => ({
  ...{ attemptId, what: "output", stamp: stampOfGaveWay(written, output), output },
});

/** All that gave way of an attempt, as a step of a merge keeps it. */
export const gaveWayKept = ({ attempts }: Journal, attemptId: string): { all: readonly GaveWay[] } => ({
  all: attempts.gaveWayOf(attemptId),
});

/** Keeps it in the history of its attempt, once; says whether it is new there. */
export function noteGaveWay(one: GaveWay, journal: Journal, tally: Tally | null): boolean {
  const { attempts } = journal;
  const known = attempts.gaveWayOf(one.attemptId);
  const all = joinedGaveWay(known, [one]);
  if (!all.includes(one) || known.some(({ what, stamp }) => what === one.what && stamp === one.stamp))
    return false;
  if (tally !== null) noteBefore(tally, "gaveWay", one.attemptId, gaveWayKept(journal, one.attemptId));
  attempts.keepGaveWay(one.attemptId, all);
  return true;
}

/** What gave way on other benches comes along, unbroken or not at all, and is named anew by what it holds. */
export function mergeGaveWay(
  document: StagedDocument,
  mayHang: (attemptId: string) => boolean,
  tally: Tally,
  { journal }: At,
): void {
  for (const sent of document.things("gaveWay")) {
    if (!mayHang(sent.attemptId)) continue;
    const content = sent.what === "trace" ? unbroken(sent.trace) : sent.output;
    const one = { ...sent, stamp: stampOfGaveWay(sent.stamp, content) };
    tally[noteGaveWay(one, journal, tally) ? "updated" : "unchanged"] += 1;
  }
}
