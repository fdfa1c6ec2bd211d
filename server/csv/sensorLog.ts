import type { ColumnMatch } from "../bench/logs/columnMatch.ts";
import { columnsProposed } from "../bench/logs/columnProposal.ts";
import {
  fewestRows,
  type LogLimits,
  lineTooLong,
  tooManyBytes,
  tooManyRows,
} from "../bench/logs/logLimits.ts";
import { invalid } from "../bench/things/refusal.ts";
import { LineFeed } from "./lineFeed.ts";
import { isHeadless, type LogShape, logShapeOf, type TableTold } from "./logShape.ts";
import { binaryRefusal, type Encoding, encodingOf, lineReader, recoder } from "./logText.ts";
import type { Remark, RowChunk } from "./rowChunk.ts";
import { type RowPlan, rowPlanOf } from "./rowPlan.ts";
import { RowReader } from "./rowReader.ts";

type LogProgress = Readonly<{ bytes: number; rows: number }>;

export type LogReading = Readonly<{
  limits: LogLimits;
  /** Where its table begins, where that was said. */
  table?: TableTold | undefined;
  signal?: AbortSignal | undefined;
  onProgress?: ((progress: LogProgress) => void) | undefined;
  /** Reads every line the slow way; for checking the fast one against it. */
  tolerantOnly?: boolean;
}>;

/** A log whose header is known and whose rows are still to be read, once. */
export type SensorLog = Readonly<{
  shape: LogShape;
  /** What may be read at once; empty where the tester must say first. */
  proposal: readonly ColumnMatch[];
  /** The likeliest meaning of its columns, to be looked over. */
  suggested: readonly ColumnMatch[];
  rows(matches: readonly ColumnMatch[]): AsyncGenerator<RowChunk>;
  /** What is to be told of single lines once the rows are read. */
  remarks(): LogRemarks;
}>;

type LogRemarks = Readonly<{
  skipped: readonly Remark[];
  adjusted: readonly Remark[];
  /** Seconds since 1970 of the first row, where the log says so. */
  startedAtSeconds: number | undefined;
  /** The same by a clock whose zone nobody wrote: what it showed. */
  startedAtLocal: string | undefined;
}>;

const headBytes = 65_536;
/** So many lines of it at least are whole, unless there are fewer. */
const fewestLines = 3;

/** The first lines of a log as text, for somebody to look at; refused where it is none. */
export async function firstLinesOf(
  source: AsyncIterable<Buffer>,
  reading: LogReading,
): Promise<readonly string[]> {
  const first = await headOf(bounded(source, reading)[Symbol.asyncIterator](), reading.limits);
  const refusal = binaryRefusal(first.bytes);
  if (refusal !== undefined) throw refusal;
  return linesOf(first, encodingOf(first.bytes));
}

/** Reads as much of a log as tells how it is written. Anything that is no log is refused in a sentence. */
export async function openSensorLog(source: AsyncIterable<Buffer>, reading: LogReading): Promise<SensorLog> {
  const bytes = bounded(source, reading)[Symbol.asyncIterator]();
  const first = await headOf(bytes, reading.limits);
  const head = first.bytes;
  const refusal = binaryRefusal(head);
  if (refusal !== undefined) throw refusal;
  const encoding = encodingOf(head);
  const lines = linesOf(first, encoding);
  const shape = logShapeOf(lines, reading.limits, reading.table);
  if (first.ended && lines.slice(shape.headerAt).every((line) => line.trim() === ""))
    throw invalid(`The log has a header and no rows: line ${shape.headerAt} was taken as the header.`);
  const suggested = columnsProposed(shape.columns);
  let reader: RowReader | undefined;
  let epochS: number | null = null;
  async function* rows(matches: readonly ColumnMatch[]): AsyncGenerator<RowChunk> {
    const plan = rowPlanOf(shape, matches);
    epochS = plan.epochS;
    reader = new RowReader(shape, plan, lineReader(encoding), reading.tolerantOnly);
    yield* rowsOf(reader, textRuns(head, bytes, reading.limits, reader), reading, plan);
  }
  return {
    shape,
    proposal: isHeadless(shape) ? [] : suggested,
    suggested,
    rows,
    remarks: () => ({
      skipped: reader?.skipped.all ?? [],
      adjusted: reader?.adjusted.all ?? [],
      ...startOf(reader, epochS),
    }),
  };
}

function startOf(reader: RowReader | undefined, epochS: number | null) {
  const written = reader?.startedAtSeconds;
  const seconds = epochS === null || written === undefined ? undefined : epochOf(written + epochS);
  const isLocal = reader?.isLocal === true || epochS !== 0;
  return {
    startedAtSeconds: isLocal ? undefined : seconds,
    startedAtLocal:
      isLocal && seconds !== undefined ? new Date(seconds * 1000).toISOString().slice(0, 19) : undefined,
  };
}

/** Only a time after 2000 can be meant as one since 1970. */
const epochOf = (seconds: number | undefined): number | undefined =>
  seconds !== undefined && seconds > 946_684_800 && seconds < 7_258_118_400 ? seconds : undefined;

async function* bounded(source: AsyncIterable<Buffer>, reading: LogReading): AsyncGenerator<Buffer> {
  let read = 0;
  for await (const bytes of source) {
    reading.signal?.throwIfAborted();
    read += bytes.length;
    if (read > reading.limits.bytes) throw tooManyBytes(reading.limits);
    yield bytes;
  }
}

type Head = Readonly<{ bytes: Buffer; ended: boolean }>;

/** The first bytes: enough to judge by, with a few whole lines in them. */
async function headOf(bytes: AsyncIterator<Buffer>, limits: LogLimits): Promise<Head> {
  let head: Buffer = Buffer.alloc(0);
  for (;;) {
    const next = await bytes.next();
    if (next.done === true) break;
    head = head.length === 0 ? next.value : Buffer.concat([head, next.value]);
    if (head.length < headBytes) continue;
    const lines = lineEndsIn(head);
    if (lines >= fewestLines) return { bytes: head, ended: false };
    const open = head.length - 1 - Math.max(head.lastIndexOf(10), head.lastIndexOf(13));
    if (open > limits.lineBytes) throw binaryRefusal(head) ?? lineTooLong(lines + 1, limits);
  }
  if (head.length === 0) throw invalid("The log is empty.");
  return { bytes: head, ended: true };
}

/** How many line ends there are, up to as many as are asked for. */
function lineEndsIn(bytes: Buffer): number {
  let count = 0;
  for (let at = 0; at < bytes.length && count < fewestLines; at += 1)
    if (bytes[at] === 10 || bytes[at] === 13) count += 1;
  return count;
}

/** The lines of the head; the last one is cut unless the log ends there. */
function linesOf({ bytes, ended }: Head, encoding: Encoding): readonly string[] {
  const lines = lineReader(encoding)(recoder(bytes)(bytes)).split(/\r?\n/);
  return ended ? lines : lines.slice(0, -1);
}

/** The log as runs of whole lines without the header and what stands above it. */
async function* textRuns(
  head: Buffer,
  rest: AsyncIterator<Buffer>,
  limits: LogLimits,
  reader: RowReader,
): AsyncGenerator<Run> {
  const recoded = recoder(head);
  const feed = new LineFeed(limits);
  const line = () => reader.line;
  let above = reader.line;
  let read = 0;
  for (let bytes: Buffer | undefined = head; bytes !== undefined; bytes = (await rest.next()).value) {
    read += bytes.length;
    for (const run of feed.lines(withoutZeros(recoded(bytes)), line)) {
      const from = above > 0 ? afterLines(run, above) : { at: 0, left: 0 };
      above = from.left;
      yield { bytes: run, from: from.at, read, last: false };
    }
  }
  const last = feed.rest();
  if (last !== undefined && above === 0) yield { bytes: last, from: 0, read, last: true };
}

type Run = Readonly<{ bytes: Buffer; from: number; read: number; last: boolean }>;

function afterLines(run: Buffer, lines: number): { at: number; left: number } {
  let at = 0;
  let left = lines;
  while (left > 0 && at < run.length) {
    at = run.indexOf(10, at) + 1;
    left -= 1;
  }
  return { at, left };
}

/** A crash leaves runs of zero bytes where the log had not reached the disk: each becomes a line end. */
function withoutZeros(bytes: Buffer): Buffer {
  if (!bytes.includes(0)) return bytes;
  const kept = bytes.filter((byte, at) => byte !== 0 || bytes[at - 1] !== 0);
  return Buffer.from(kept.map((byte) => (byte === 0 ? 10 : byte)));
}

async function* rowsOf(
  reader: RowReader,
  runs: AsyncGenerator<Run>,
  { limits, onProgress }: LogReading,
  plan: RowPlan,
): AsyncGenerator<RowChunk> {
  let rows = 0;
  let last = 0;
  const readings = new Readings(plan);
  const taken = (read: number): RowChunk => {
    const chunk = reader.take();
    rows += chunk.rows;
    if (rows > limits.rows) throw tooManyRows(limits);
    readings.note(chunk);
    last = chunk.t[chunk.rows - 1] ?? last;
    onProgress?.({ bytes: read, rows });
    return chunk;
  };
  for await (const { bytes, from, read, last } of runs) {
    let at = from;
    if (last) reader.readLast(bytes);
    else
      while (at < bytes.length) {
        at = reader.read(bytes, at, bytes.length);
        if (reader.full) yield taken(read);
      }
    if (reader.full) yield taken(read);
  }
  if (reader.rows > 0) yield taken(Number.NaN);
  refuseFew(rows, reader);
  questionLength(rows, last, plan);
  readings.refuseNone();
}

function refuseFew(rows: number, reader: RowReader): void {
  const first = reader.skipped.all[0];
  const because = first === undefined ? "" : ` Line ${first.line} was left out: ${first.because}`;
  if (rows === 0) throw invalid(`The log has a header and no rows that can be read.${because}`);
  if (rows < fewestRows) {
    const count = rows === 1 ? "1 row" : `${rows} rows`;
    throw invalid(`The log has ${count}; at least ${fewestRows} are needed.${because}`);
  }
}

const longestS = 30 * 86_400;
const mostRowsPerS = 10;
/** A recorder at ten a second may be a little early. */
const slack = 1.05;

/** A time in the wrong unit makes a run of months or of moments: asked before anything of it is kept. */
function questionLength(rows: number, spanS: number, plan: RowPlan): void {
  if (plan.isSure) return;
  const isLong = spanS > longestS;
  const isShort = (rows - 1) / mostRowsPerS / slack > spanS;
  if (!isLong && !isShort) return;
  const what = isLong
    ? `${Math.round(spanS / 86_400).toLocaleString("en")} days`
    : `${Number(spanS.toPrecision(2))} s, more than ten rows a second`;
  const because = `Read like this, its ${rows.toLocaleString("en")} rows would span ${what}. Is the time in another unit? Choose that, or say that it is meant.`;
  throw invalid(because, { columns: because, sure: because });
}

/** Notices which columns hold any number at all. */
class Readings {
  private readonly pending: Set<number>;
  private readonly plan: RowPlan;

  constructor(plan: RowPlan) {
    this.plan = plan;
    this.pending = new Set(plan.readings.keys());
  }

  note(chunk: RowChunk): void {
    for (const slot of this.pending) {
      const column = chunk.columns[slot];
      for (let row = 0; row < chunk.rows; row += 1) {
        if (Number.isNaN(column?.[row])) continue;
        this.pending.delete(slot);
        break;
      }
    }
  }

  refuseNone(): void {
    if (this.pending.size < this.plan.readings.length) return;
    const names = this.plan.readings.slice(0, 3).map(({ match }) => `"${match.column}"`);
    throw invalid(`No number can be read in the column ${names.join(" or ")}.`);
  }
}
