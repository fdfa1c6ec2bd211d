import type { DocumentTrace } from "../bench/document/traceInDocument.ts";
import { invalid } from "../bench/things/refusal.ts";
import type { Journal } from "../store/file/journal.ts";
import { countIn, unpackInto } from "../store/traces/traceBlob.ts";
import { type PackedTrace, rowsPerTraceChunk, TracePacker } from "../store/traces/tracePacking.ts";

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

export function chunksIn(
  sent: Iterable<Readonly<{ channel: string; chunk: number; packed: string }>>,
): Chunks {
  const chunks = new Map<string, Buffer>();
  for (const { channel, chunk, packed } of sent)
    chunks.set(placeOf(channel, chunk), Buffer.from(packed, "base64"));
  return chunks;
}

const placeOf = (channel: string, chunk: number): string => `${chunk} ${channel}`;

export function packedAgain(
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
