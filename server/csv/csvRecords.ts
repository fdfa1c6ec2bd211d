/** One record of a CSV text and the line it begins on, counted from 1. */
export type CsvRecord = Readonly<{
  line: number;
  cells: readonly string[];
  /** A quote was opened and never closed: the line is given as it stands, and reading goes on below it. */
  unclosed: boolean;
}>;

type Cell = Readonly<{ text: string; end: number }>;

/** The records of a text by RFC 4180: a cell in quotes may hold separators, line ends and doubled quotes. */
export function* csvRecords(text: string, separator: string): Generator<CsvRecord> {
  let line = 1;
  for (let at = 0; at < text.length; ) {
    const { end, ...record } = recordAt(text, at, separator);
    yield { line, ...record };
    line += lineEndsIn(text, at, end);
    at = end;
  }
}

/** The cells of one line; undefined where a quote is left open. */
export function cellsInLine(line: string, separator: string): readonly string[] | undefined {
  if (!line.includes('"')) return line.split(separator);
  const { cells, unclosed } = recordAt(line, 0, separator);
  return unclosed ? undefined : cells;
}

function recordAt(text: string, start: number, separator: string): Omit<CsvRecord, "line"> & { end: number } {
  const cells: string[] = [];
  for (let at = start; ; at += 1) {
    const cell = cellAt(text, at, separator);
    if (cell === null) return asItStands(text, start, separator);
    cells.push(cell.text);
    at = cell.end;
    if (text[at] !== separator) return { cells, unclosed: false, end: afterLineEnd(text, at) };
  }
}

function asItStands(text: string, start: number, separator: string) {
  const stop = stopAfter(text, start, "");
  return {
    cells: text.slice(start, stop).split(separator),
    unclosed: true,
    end: afterLineEnd(text, stop),
  };
}

/** Null where a quote is left open. */
function cellAt(text: string, from: number, separator: string): Cell | null {
  let open = from;
  while (text[open] === " ") open += 1;
  if (text[open] === '"') return quotedCell(text, open, separator);
  const end = stopAfter(text, from, separator);
  return { text: text.slice(from, end), end };
}

function quotedCell(text: string, open: number, separator: string): Cell | null {
  let words = "";
  for (let from = open + 1; ; ) {
    const close = text.indexOf('"', from);
    if (close < 0) return null;
    words += text.slice(from, close);
    if (text[close + 1] !== '"') {
      const end = stopAfter(text, close + 1, separator);
      return { text: words + text.slice(close + 1, end).trimEnd(), end };
    }
    words += '"';
    from = close + 2;
  }
}

/** Where the separator or the line end at or after `from` is. */
function stopAfter(text: string, from: number, separator: string): number {
  let at = from;
  while (at < text.length && text[at] !== separator && text[at] !== "\n" && text[at] !== "\r") at += 1;
  return at;
}

const afterLineEnd = (text: string, at: number): number =>
  at + (text[at] === "\r" && text[at + 1] === "\n" ? 2 : at < text.length ? 1 : 0);

function lineEndsIn(text: string, from: number, to: number): number {
  let count = 0;
  for (let at = from; at < to; at = afterLineEnd(text, at)) {
    at = stopAfter(text, at, "");
    if (at < to) count += 1;
  }
  return count;
}
