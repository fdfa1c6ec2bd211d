import type { JournalDocument } from "../bench/document/journalDocument.ts";
import type { DocumentTrace } from "../bench/document/traceInDocument.ts";
import { invalid } from "../bench/things/refusal.ts";
import { countIn, unpackInto } from "../store/traces/traceBlob.ts";
import { type PackedTrace, rowsPerChunk, TracePacker } from "../store/traces/tracePacking.ts";
import type { At } from "./context.ts";

type Tally = { added: number; updated: number; unchanged: number };
type Chunks = ReadonlyMap<string, ReadonlyMap<number, string>>;

/** Takes traces in: one that is not here is added, of two the one kept last stands. What is packed is unpacked first, so that nothing broken is kept. */
export function mergeTraces({ traces, traceChunks }: JournalDocument, tally: Tally, { journal }: At): void {
  const chunksOf = chunksByTrace(traceChunks);
  for (const theirs of traces) {
    const here = journal.traces.outline(theirs.attemptId);
    const isKnown = journal.attempts.find(theirs.attemptId) !== undefined;
    if (!isKnown || (here !== undefined && here.keptAt >= theirs.keptAt)) {
      tally.unchanged += 1;
      continue;
    }
    const trace = packedAgain(theirs, chunksOf.get(theirs.attemptId) ?? new Map());
    const origin = { source: theirs.source, startedAt: theirs.startedAt ?? null };
    journal.traces.write(theirs.attemptId, trace, origin, theirs.keptAt);
    tally[here === undefined ? "added" : "updated"] += 1;
  }
}

function chunksByTrace(sent: JournalDocument["traceChunks"]): ReadonlyMap<string, Chunks> {
  const traces = new Map<string, Map<string, Map<number, string>>>();
  for (const { attemptId, channel, chunk, packed } of sent) {
    const channels = traces.get(attemptId) ?? new Map<string, Map<number, string>>();
    traces.set(attemptId, channels);
    const chunks = channels.get(channel) ?? new Map<number, string>();
    channels.set(channel, chunks.set(chunk, packed));
  }
  return traces;
}

function packedAgain({ rows, channels }: DocumentTrace, chunksOf: Chunks): PackedTrace {
  const packer = new TracePacker(channels);
  for (let from = 0, chunk = 0; from < rows; from += rowsPerChunk, chunk += 1) {
    const count = Math.min(rowsPerChunk, rows - from);
    const values = (channel: string) => valuesIn(chunksOf.get(channel)?.get(chunk), count);
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
function valuesIn(packed: string | undefined, count: number): Float64Array {
  if (packed === undefined) return new Float64Array(count).fill(Number.NaN);
  const blob = Buffer.from(packed, "base64");
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
