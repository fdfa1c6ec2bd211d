import { type GaveWayTrace, mostValuesGivenWay } from "../bench/document/gaveWay.ts";
import { type DocumentTrace, packingVersion } from "../bench/document/traceInDocument.ts";
import { invalid } from "../bench/things/refusal.ts";
import type { Journal } from "../store/file/journal.ts";
import { countIn, unpackInto } from "../store/traces/traceBlob.ts";
import { type PackedTrace, rowsPerTraceChunk, TracePacker } from "../store/traces/tracePacking.ts";

/** A trace as it is kept, so that it can be put back; null where there is none. */
export function traceKept({ traces }: Journal, attemptId: string): object | null {
  const outline = traces.outline(attemptId);
  if (outline === undefined) return null;
  const { id: _id, ...kept } = outline;
  return { ...kept, chunks: packedHere({ traces }, attemptId) };
}

/** The packed values of a trace, as they travel. */
export const packedHere = ({ traces }: Pick<Journal, "traces">, attemptId: string) =>
  [...traces.packedChunks(attemptId)].map(({ packed, ...place }) => ({
    ...place,
    packed: packed.toString("base64"),
  }));

type KeptTrace = Omit<DocumentTrace, "attemptId" | "packing"> & { chunks: Parameters<typeof chunksIn>[0] };

export function putTraceBack({ traces }: Journal, attemptId: string, kept: KeptTrace): void {
  const origin = { source: kept.source, startedAt: kept.startedAt ?? null };
  traces.write(attemptId, packedAgain(kept, chunksIn(kept.chunks)), origin, kept.keptAt);
}

export type Chunks = ReadonlyMap<string, Buffer>;

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

/** What is known of a trace besides its values. */
export type Outlined = Omit<DocumentTrace, "attemptId" | "packing" | "channels"> &
  Readonly<{ channels: readonly DocumentTrace["channels"][number][] }>;

/** A trace with every so-manieth of its rows, as many as may be kept of one that gave way; packed alike on every bench. */
export function thinned(trace: Outlined, chunks: Chunks): GaveWayTrace {
  const every = Math.max(1, Math.ceil((trace.rows * (trace.channels.length + 1)) / mostValuesGivenWay));
  const columns = ["time", ...trace.channels.map(({ channel }) => channel)].map((channel) =>
    everyOf(trace.rows, every, (chunk, count) => valuesIn(chunks.get(placeOf(channel, chunk)), count)),
  );
  const [t, ...values] = columns as [Float64Array, ...Float64Array[]];
  const packer = new TracePacker(trace.channels);
  for (let from = 0; from < t.length; from += rowsPerTraceChunk) {
    const rows = Math.min(rowsPerTraceChunk, t.length - from);
    const part = (column: Float64Array) => column.subarray(from, from + rows);
    packer.add(rows, part(t), values.map(part));
  }
  const { rows, fromS, toS, channels } = packer.finish();
  const held = channels.filter(({ hasReadings }) => hasReadings);
  return {
    ...{ packing: packingVersion, rows, fromS, toS, startedAt: trace.startedAt ?? null },
    ...{ keptAt: trace.keptAt, source: trace.source, every },
    channels: held.flatMap(({ channel, unit }) => (channel === "time" ? [] : [{ channel, unit }])),
    chunks: held.flatMap(({ channel, chunks: blobs }) =>
      blobs.map((blob, chunk) => ({ channel, chunk, packed: blob.toString("base64") })),
    ),
  };
}

function everyOf(
  rows: number,
  every: number,
  read: (chunk: number, count: number) => Float64Array,
): Float64Array {
  const kept = new Float64Array(Math.ceil(rows / every));
  for (let row = 0, chunk = 0; row < rows; chunk += 1) {
    const from = chunk * rowsPerTraceChunk;
    const values = read(chunk, Math.min(rowsPerTraceChunk, rows - from));
    for (; row < from + values.length; row += every) kept[row / every] = values[row - from] as number;
  }
  return kept;
}

/** The times, in seconds from the first row, and then each channel's values; NaN where nothing was read. */
export function columnsOfTrace(trace: GaveWayTrace): Float64Array[] {
  const chunks = chunksIn(trace.chunks);
  return ["time", ...trace.channels.map(({ channel }) => channel)].map((channel) =>
    everyOf(trace.rows, 1, (chunk, count) => valuesIn(chunks.get(placeOf(channel, chunk)), count)),
  );
}

/** The same once all of it could be read; throws a refusal where it cannot. */
export function unbroken(trace: GaveWayTrace): GaveWayTrace {
  packedAgain(trace, chunksIn(trace.chunks));
  return trace;
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
