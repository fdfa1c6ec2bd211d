import type { DocumentTrace } from "../bench/document/traceInDocument.ts";
import { invalid } from "../bench/things/refusal.ts";
import type { StagedDocument } from "../store/file/stagedDocument.ts";
import { countIn, unpackInto } from "../store/traces/traceBlob.ts";
import { type PackedTrace, rowsPerChunk, TracePacker } from "../store/traces/tracePacking.ts";
import type { At } from "./context.ts";

type Tally = { added: number; updated: number; unchanged: number };
type Chunks = ReadonlyMap<string, Buffer>;

/** Takes traces in: one that is not here is added, of two the one kept last stands. What is packed is unpacked first, so that nothing broken is kept. */
export function mergeTraces(document: StagedDocument, tally: Tally, { journal }: At): void {
  for (const theirs of document.things("traces")) {
    const here = journal.traces.outline(theirs.attemptId);
    const isKnown = journal.attempts.find(theirs.attemptId) !== undefined;
    if (!isKnown || (here !== undefined && here.keptAt >= theirs.keptAt)) {
      tally.unchanged += 1;
      continue;
    }
    const trace = packedAgain(theirs, chunksIn(document, theirs.attemptId));
    const origin = { source: theirs.source, startedAt: theirs.startedAt ?? null };
    journal.traces.write(theirs.attemptId, trace, origin, theirs.keptAt);
    tally[here === undefined ? "added" : "updated"] += 1;
  }
}

function chunksIn(document: StagedDocument, attemptId: string): Chunks {
  const chunks = new Map<string, Buffer>();
  for (const { channel, chunk, packed } of document.chunksOf(attemptId))
    chunks.set(placeOf(channel, chunk), Buffer.from(packed, "base64"));
  return chunks;
}

const placeOf = (channel: string, chunk: number): string => `${chunk} ${channel}`;

function packedAgain({ rows, channels }: DocumentTrace, chunks: Chunks): PackedTrace {
  const packer = new TracePacker(channels);
  for (let from = 0, chunk = 0; from < rows; from += rowsPerChunk, chunk += 1) {
    const count = Math.min(rowsPerChunk, rows - from);
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
