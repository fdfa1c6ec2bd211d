import { type Stamps, stampIn } from "../bench/document/account.ts";
import type { DocumentTrace } from "../bench/document/traceInDocument.ts";
import { invalid } from "../bench/things/refusal.ts";
import type { Journal } from "../store/file/journal.ts";
import type { StagedDocument } from "../store/file/stagedDocument.ts";
import { countIn, unpackInto } from "../store/traces/traceBlob.ts";
import { type PackedTrace, rowsPerTraceChunk, TracePacker } from "../store/traces/tracePacking.ts";
import type { At } from "./context.ts";
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

/** A trace as it is kept, so that it can be put back; null where there is none. */
export function traceKept({ traces }: Journal, attemptId: string): object | null {
  const outline = traces.outline(attemptId);
  if (outline === undefined) return null;
  const { id: _id, ...kept } = outline;
  const chunks = [...traces.packedChunks(attemptId)].map(({ packed, ...place }) => ({
    ...place,
    packed: packed.toString("base64"),
  }));
  return { ...kept, chunks };
}

type KeptTrace = DocumentTrace & { chunks: Parameters<typeof chunksIn>[0] };

export function putTraceBack({ traces }: Journal, attemptId: string, kept: KeptTrace): void {
  const origin = { source: kept.source, startedAt: kept.startedAt ?? null };
  traces.write(attemptId, packedAgain(kept, chunksIn(kept.chunks)), origin, kept.keptAt);
}

type Chunks = ReadonlyMap<string, Buffer>;

function chunksIn(sent: Iterable<Readonly<{ channel: string; chunk: number; packed: string }>>): Chunks {
  const chunks = new Map<string, Buffer>();
  for (const { channel, chunk, packed } of sent)
    chunks.set(placeOf(channel, chunk), Buffer.from(packed, "base64"));
  return chunks;
}

const placeOf = (channel: string, chunk: number): string => `${chunk} ${channel}`;

function packedAgain(
  { rows, channels }: Pick<DocumentTrace, "rows" | "channels">,
  chunks: Chunks,
): PackedTrace {
  const packer = new TracePacker(channels);
  for (let from = 0, chunk = 0; from < rows; from += rowsPerTraceChunk, chunk += 1) {
    const count = Math.min(rowsPerTraceChunk, rows - from);
    const values = (channel: string) => valuesIn(chunks.get(placeOf(channel, chunk)), count);
    const t = values("time");
    if (t.some((seconds, row) => !(seconds >= (t[row - 1] ?? Number.NEGATIVE_INFINITY)))) throw damaged();
    packer.add(
      count,
      t,
      channels.map(({ channel }) => values(channel)),
    );
  }
  return packer.finish();
}

/** A chunk that is not there holds no readings. */
function valuesIn(blob: Buffer | undefined, count: number): Float64Array {
  if (blob === undefined) return new Float64Array(count).fill(Number.NaN);
  try {
    if (countIn(blob) !== count) throw damaged();
    const values = new Float64Array(count);
    unpackInto(blob, values, 0);
    return values;
  } catch {
    throw damaged();
  }
}

const damaged = () =>
  invalid("The export is damaged: the values of a trace cannot be read. Nothing was changed.");
