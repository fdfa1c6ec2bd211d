import { headerKey } from "../bench/logs/columnMatch.ts";
import { invalid, Refusal } from "../bench/things/refusal.ts";
import { type CsvRecord, csvRecords } from "./csvRecords.ts";
import { decimalSignOf, numberIn } from "./logNumber.ts";
import { fits, glimpseOf, type LogShape } from "./logShape.ts";
import { binaryRefusal, encodingOf } from "./logText.ts";
import { isNotRead } from "./notReadNote.ts";

/** How a file of attempts is written. */
type AttemptFileShape = Pick<LogShape, "decimal" | "names" | "columns" | "headerAt"> &
  Readonly<{ separator: string }>;

/** A file of attempts whose header is known, and its records below the header. */
export type AttemptFile = Readonly<{
  shape: AttemptFileShape;
  /** By which the choices made for this header are remembered. */
  key: string;
  /** Read anew each time they are gone through: all at once would take many times the memory of the text. */
  records: Iterable<CsvRecord>;
  lines: number;
}>;

export const attemptFileLimits = { bytes: 16 << 20, lines: 100_000, columns: 200 } as const;

/** The text of an uploaded file: UTF-8 with or without its mark, UTF-16, or Windows-1252. */
export function textOf(bytes: Buffer): string {
  const refusal = binaryRefusal(bytes);
  if (refusal) {
    const { message } = refusal;
    throw invalid(
      message.replace("not a log. Save the log", "not CSV text. Save it").replace("a log.", "CSV."),
    );
  }
  return new TextDecoder(encodingOf(bytes)).decode(bytes);
}

export function attemptFileOf(written: string): AttemptFile {
  const text = written.replace(/^\ufeff/, "");
  if (text.trim() === "") throw invalid("The file is empty.", { text: "Paste the lines, or choose a file." });
  if (text.length > attemptFileLimits.bytes) throw tooLarge("16 MiB");
  const { separator, header, names } = headerIn(text);
  const records = { [Symbol.iterator]: () => recordsBelow(header, csvRecords(text, separator), names) };
  const lines = countOf(records);
  if (lines > attemptFileLimits.lines) throw tooLarge("100,000 lines");
  const first = firstOf(records, 200);
  return {
    shape: { separator, names, headerAt: header.line, ...contentOf(first, names, separator) },
    key: `attempts ${headerKey(names)}`,
    records,
    lines,
  };
}

function* recordsBelow(
  header: CsvRecord,
  records: Iterable<CsvRecord>,
  names: readonly string[],
): Generator<CsvRecord> {
  for (const record of records) {
    const { line, cells } = record;
    if (line > header.line && holdsMore(cells) && !repeats(cells, names)) yield record;
  }
}

const holdsMore = (cells: readonly string[]): boolean =>
  cells.some((cell) => cell.trim() !== "") && !isNotRead(cells);

function countOf(items: Iterable<unknown>): number {
  let count = 0;
  for (const _ of items) count += 1;
  return count;
}

const tooLarge = (most: string): Refusal =>
  new Refusal("too-large", `At most ${most} are imported at once. Split the file.`);

type Header = Readonly<{ separator: string; header: CsvRecord; names: readonly string[]; agreeing: number }>;

/**
 * The separator under which most cells stand below a name: a few lines that another one happens to cut alike, inside
 * words in quotes, agree on two cells each.
 */
function headerIn(text: string): Header {
  const found = [",", ";", "\t"].flatMap((separator) => headerBy(text, separator));
  const placed = ({ agreeing, names }: Header): number => agreeing * names.length;
  const [first] = found.sort((a, b) => placed(b) - placed(a) || b.names.length - a.names.length);
  if (first === undefined)
    throw invalid(
      "No header can be found: one of the first lines must name the columns, a clock and a voltage at least, with commas, semicolons or tabs between them.",
      { text: "The columns are not named." },
    );
  if (first.names.length > attemptFileLimits.columns) throw tooLarge("200 columns");
  return first;
}

function headerBy(text: string, separator: string): Header[] {
  const records = firstOf(csvRecords(text, separator), 300);
  const at = records.slice(0, 30).findIndex((record, i) => isHeader(record, records[i + 1]));
  const header = records[at];
  if (header === undefined) return [];
  const names = named(header.cells);
  const agreeing = records.slice(at + 1).filter(({ cells }) => cells.length === header.cells.length).length;
  return [{ separator, header, names, agreeing }];
}

/** A header names two columns or more and holds no number; a title above it has fewer cells than the line below. */
function isHeader({ cells, unclosed }: CsvRecord, next: CsvRecord | undefined): boolean {
  const names = named(cells);
  if (unclosed || names.filter((name) => name !== "").length < 2) return false;
  if (names.some((name) => !Number.isNaN(numberIn(name, ".")))) return false;
  return next === undefined || next.cells.length >= 2;
}

/** The names of the columns, blank ones at the end left out. */
const named = (cells: readonly string[]): string[] =>
  cells.slice(0, cells.findLastIndex((cell) => cell.trim() !== "") + 1).map((cell) => cell.trim());

function firstOf<Item>(items: Iterable<Item>, most: number): Item[] {
  const first: Item[] = [];
  for (const item of items) {
    first.push(item);
    if (first.length >= most) break;
  }
  return first;
}

const repeats = (cells: readonly string[], names: readonly string[]): boolean =>
  fits(cells, names.length) && names.every((name, at) => cells[at]?.trim() === name);

function contentOf(records: readonly CsvRecord[], names: readonly string[], separator: string) {
  const rows = records.map(({ cells }) => cells);
  const decimal = decimalSignOf(rows.flat(), separator);
  const cellsAt = (at: number) => rows.map((cells) => cells[at] ?? "");
  return { decimal, columns: names.map((name, at) => glimpseOf(name, cellsAt(at), decimal)) };
}

/** The cells of one column that hold anything. */
export function* cellsIn({ records }: AttemptFile, at: number): Generator<string> {
  for (const { cells } of records) if (cells[at] !== undefined && cells[at].trim() !== "") yield cells[at];
}
