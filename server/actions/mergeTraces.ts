import { type Stamps, stampIn } from "../bench/document/account.ts";
import type { DocumentTrace } from "../bench/document/traceInDocument.ts";
import type { Journal } from "../store/file/journal.ts";
import type { StagedDocument } from "../store/file/stagedDocument.ts";
import type { At } from "./context.ts";
import { chunksIn, packedAgain, traceKept } from "./keptTrace.ts";
import { noteBefore, type Tally } from "./mergeTally.ts";

type Hanging = "trace" | "output";

/** By attempt, whose trace or output was written last, where one was written after the other had been seen. */
export type Verdicts = Map<string, Readonly<Partial<Record<Hanging, "here" | "theirs">>>>;

/** Taken before the two accounts are one. */
export function noteVerdict(attemptId: string, here: Stamps, theirs: Stamps, verdicts: Verdicts): void {
  const of = (what: Hanging) => {
    const [ours, others] = [stampIn(here, what), stampIn(theirs, what)];
    return ours === others ? {} : { [what]: ours > others ? "here" : "theirs" };
  };
  const verdict = { ...of("trace"), ...of("output") };
  if (Object.keys(verdict).length > 0) verdicts.set(attemptId, verdict);
}

/** What loads printed: the last that was kept stands, and where that cannot be told the longer in the alphabet. */
export function mergeOutputs(
  document: StagedDocument,
  verdicts: Verdicts,
  tally: Tally,
  { journal }: At,
): void {
  const { attempts } = journal;
  const met = new Set<string>();
  for (const { attemptId, output } of document.things("outputs")) {
    met.add(attemptId);
    const here = attempts.outputOf(attemptId);
    const verdict = verdicts.get(attemptId)?.output;
    const isTheirs = here === undefined || (verdict === undefined ? output > here : verdict === "theirs");
    if (
      !isTheirs ||
      output === here ||
      !mayHang(attemptId, journal) ||
      (here === undefined && verdict === "here")
    )
      continue;
    noteBefore(tally, "outputs", attemptId, here === undefined ? null : { output: here });
    attempts.keepOutput(attemptId, output);
  }
  for (const [attemptId, { output }] of verdicts) {
    const here = output === "theirs" && !met.has(attemptId) ? attempts.outputOf(attemptId) : undefined;
    if (here === undefined) continue;
    noteBefore(tally, "outputs", attemptId, { output: here });
    attempts.dropOutput(attemptId);
  }
}

/** What was blanked for good takes nothing back. */
const mayHang = (attemptId: string, { attempts }: Journal): boolean =>
  attempts.holds(attemptId) && !attempts.isBlanked(attemptId);

/**
 * Takes traces in: one that is not here is added, of two the one written last stands, and where that cannot be told the
 * one kept last. What is packed is unpacked first, so that nothing broken is kept.
 */
export function mergeTraces(
  document: StagedDocument,
  verdicts: Verdicts,
  tally: Tally,
  { journal }: At,
): void {
  const met = new Set<string>();
  for (const theirs of document.things("traces")) {
    met.add(theirs.attemptId);
    const here = journal.traces.outline(theirs.attemptId);
    if (
      !mayHang(theirs.attemptId, journal) ||
      !isTheirs(theirs, here, verdicts.get(theirs.attemptId)?.trace)
    ) {
      tally.unchanged += 1;
      continue;
    }
    noteBefore(tally, "traces", theirs.attemptId, traceKept(journal, theirs.attemptId));
    const trace = packedAgain(theirs, chunksIn(document.chunksOf(theirs.attemptId)));
    const origin = { source: theirs.source, startedAt: theirs.startedAt ?? null };
    journal.traces.write(theirs.attemptId, trace, origin, theirs.keptAt);
    tally[here === undefined ? "added" : "updated"] += 1;
  }
  for (const [attemptId, { trace }] of verdicts) {
    if (trace !== "theirs" || met.has(attemptId) || journal.traces.outline(attemptId) === undefined) continue;
    noteBefore(tally, "traces", attemptId, traceKept(journal, attemptId));
    journal.traces.drop(attemptId);
    tally.updated += 1;
  }
}

type Outline = Pick<DocumentTrace, "keptAt" | "rows" | "source">;

function isTheirs(
  theirs: Outline,
  here: Outline | undefined,
  verdict: "here" | "theirs" | undefined,
): boolean {
  if (verdict !== undefined) return verdict === "theirs" && (here === undefined || isOther(theirs, here));
  return here === undefined || orderOf(theirs) > orderOf(here);
}

const isOther = (one: Outline, other: Outline): boolean => orderOf(one) !== orderOf(other);

const orderOf = ({ keptAt, rows, source }: Outline): string =>
  `${keptAt} ${String(rows).padStart(9, "0")} ${source}`;
