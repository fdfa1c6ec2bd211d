import { contextOf, type Stamps, stampIn } from "../bench/document/account.ts";
import type { Hanging } from "../bench/document/gaveWay.ts";
import { hasSeen, type Stamp } from "../bench/document/stamp.ts";
import type { DocumentTrace } from "../bench/document/traceInDocument.ts";
import type { Journal } from "../store/file/journal.ts";
import type { StagedDocument } from "../store/file/stagedDocument.ts";
import type { At } from "./context.ts";
import { noteGaveWay, outputGivenWay, traceGivenWay } from "./gaveWay.ts";
import { chunksIn, type Outlined, packedAgain, packedHere, traceKept } from "./keptTrace.ts";
import { noteBefore, type Tally } from "./mergeTally.ts";

/** Whose was written last; whether it was written without the other being known, and when the other was. */
type Verdict = Readonly<{ stands: "here" | "theirs"; isApart: boolean; givenWay: Stamp }>;

/** By attempt, what is to be said of its trace and its output, where the two were not written at once. */
export type Verdicts = Map<string, Readonly<Partial<Record<Hanging, Verdict>>>>;

/** What hangs on attempts that ran where the document comes from is left with them: it was to grow. */
export type Hangings = Readonly<{ verdicts: Verdicts; unended: ReadonlySet<string> }>;

/** Of the two accounts before they are one. */
export function noteVerdict(attemptId: string, here: Stamps, theirs: Stamps, verdicts: Verdicts): void {
  const of = (what: Hanging): Partial<Record<Hanging, Verdict>> => {
    const [ours, others] = [stampIn(here, what), stampIn(theirs, what)];
    if (ours === others) return {};
    const isApart = !hasSeen(contextOf(here), others) && !hasSeen(contextOf(theirs), ours);
    const [stands, givenWay] = ours > others ? (["here", others] as const) : (["theirs", ours] as const);
    return { [what]: { stands, isApart, givenWay } };
  };
  const verdict = { ...of("trace"), ...of("output") };
  if (Object.keys(verdict).length > 0) verdicts.set(attemptId, verdict);
}

/** What was written at once is of the copies of one file, and each went on without the other. */
const isApart = (verdict: Verdict | undefined): boolean => verdict === undefined || verdict.isApart;

function whenGivenWay(
  verdict: Verdict | undefined,
  attemptId: string,
  what: Hanging,
  { attempts }: Journal,
): Stamp {
  if (verdict !== undefined) return verdict.givenWay;
  const account = attempts.accountOf(attemptId);
  return account === undefined ? "" : stampIn(account.stamps, what);
}

/** What loads printed: the last that was kept stands, and where that cannot be told the longer in the alphabet. */
export function mergeOutputs(
  document: StagedDocument,
  { verdicts, unended }: Hangings,
  tally: Tally,
  { journal }: At,
): void {
  const { attempts } = journal;
  const met = new Set<string>();
  const giveWay = (attemptId: string, output: string, verdict: Verdict | undefined): void => {
    if (!isApart(verdict)) return;
    const written = whenGivenWay(verdict, attemptId, "output", journal);
    noteGaveWay(outputGivenWay(attemptId, written, output), journal, tally);
  };
  for (const { attemptId, output } of document.things("outputs")) {
    met.add(attemptId);
    const here = attempts.outputOf(attemptId);
    if (output === here || unended.has(attemptId) || !mayHang(attemptId, journal)) continue;
    const verdict = verdicts.get(attemptId)?.output;
    const isTheirs =
      verdict === undefined ? here === undefined || output > here : verdict.stands === "theirs";
    const gone = isTheirs ? here : output;
    if (gone !== undefined) giveWay(attemptId, gone, verdict);
    if (!isTheirs) continue;
    noteBefore(tally, "outputs", attemptId, here === undefined ? null : { output: here });
    attempts.keepOutput(attemptId, output);
  }
  for (const [attemptId, { output }] of verdicts) {
    const isGone = output?.stands === "theirs" && !met.has(attemptId);
    const here = isGone ? attempts.outputOf(attemptId) : undefined;
    if (here === undefined) continue;
    giveWay(attemptId, here, output);
    noteBefore(tally, "outputs", attemptId, { output: here });
    attempts.dropOutput(attemptId);
  }
}

/** What was blanked for good takes nothing back. */
export const mayHang = (attemptId: string, { attempts }: Journal): boolean =>
  attempts.holds(attemptId) && !attempts.isBlanked(attemptId);

/**
 * Takes traces in: one that is not here is added, of two the one written last stands, and where that cannot be told the
 * one kept last. What is packed is unpacked first, so that nothing broken is kept.
 */
export function mergeTraces(
  document: StagedDocument,
  { verdicts, unended }: Hangings,
  tally: Tally,
  { journal }: At,
): void {
  const met = new Set<string>();
  const giveWay = (attemptId: string, kept: Outlined, chunks: Sent, verdict: Verdict | undefined): void => {
    if (!isApart(verdict)) return;
    const written = whenGivenWay(verdict, attemptId, "trace", journal);
    noteGaveWay(traceGivenWay(attemptId, written, kept, chunksIn(chunks)), journal, tally);
  };
  const giveWayHere = (attemptId: string, verdict: Verdict | undefined): void => {
    const here = journal.traces.outline(attemptId);
    if (here) giveWay(attemptId, here, packedHere(journal, attemptId), verdict);
  };
  for (const theirs of document.things("traces")) {
    const { attemptId } = theirs;
    met.add(attemptId);
    const here = journal.traces.outline(attemptId);
    const verdict = verdicts.get(attemptId)?.trace;
    const isHere = !unended.has(attemptId) && mayHang(attemptId, journal);
    const isNews = isHere && (here === undefined || isOther(theirs, here));
    if (!isNews || !isTheirs(theirs, here, verdict?.stands)) {
      if (isNews) giveWay(attemptId, theirs, document.chunksOf(attemptId), verdict);
      tally.unchanged += 1;
      continue;
    }
    giveWayHere(attemptId, verdict);
    noteBefore(tally, "traces", attemptId, traceKept(journal, attemptId));
    const trace = packedAgain(theirs, chunksIn(document.chunksOf(attemptId)));
    const origin = { source: theirs.source, startedAt: theirs.startedAt ?? null };
    journal.traces.write(attemptId, trace, origin, theirs.keptAt);
    tally[here === undefined ? "added" : "updated"] += 1;
  }
  for (const [attemptId, { trace }] of verdicts) {
    if (trace?.stands !== "theirs" || met.has(attemptId)) continue;
    if (journal.traces.outline(attemptId) === undefined) continue;
    giveWayHere(attemptId, trace);
    noteBefore(tally, "traces", attemptId, traceKept(journal, attemptId));
    journal.traces.drop(attemptId);
    tally.updated += 1;
  }
}

type Sent = Parameters<typeof chunksIn>[0];

type Outline = Pick<DocumentTrace, "keptAt" | "rows" | "source">;

function isTheirs(
  theirs: Outline,
  here: Outline | undefined,
  verdict: "here" | "theirs" | undefined,
): boolean {
  if (verdict !== undefined) return verdict === "theirs";
  return here === undefined || orderOf(theirs) > orderOf(here);
}

const isOther = (one: Outline, other: Outline): boolean => orderOf(one) !== orderOf(other);

const orderOf = ({ keptAt, rows, source }: Outline): string =>
  `${keptAt} ${String(rows).padStart(9, "0")} ${source}`;
