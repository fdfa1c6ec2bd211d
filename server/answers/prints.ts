import { digestOf } from "../bench/things/digest.ts";

/** Rows read once are one list wherever they stand until they change, and long enough to be worth printing once. */
const printed = new WeakMap<readonly unknown[], string>();
const manyRows = 50;

export const isLong = (value: unknown): value is readonly unknown[] =>
  Array.isArray(value) && value.length >= manyRows;

/** Tells plain data from any other: SHA-256 of its JSON text, in which a long list stands as its own print. */
export const printOf = (value: unknown): string =>
  digestOf(JSON.stringify(value, (_, inner) => (isLong(inner) ? printOfRows(inner) : inner)));

function printOfRows(rows: readonly unknown[]): string {
  const printing = printedInTurn(rows);
  for (;;) {
    const { done, value } = printing.next();
    if (done) return value;
  }
}

const rowsInBlock = 250;

/** The blocks of the list printed last that begins with this row: a list that grew has all but its last block in common. */
const blocksFrom = new WeakMap<object, Readonly<{ rows: readonly unknown[]; prints: readonly string[] }>>();

/** Some at a time: as one text, the rows of a long build are many times what they take themselves. */
export function* printedInTurn(rows: readonly unknown[]): Generator<undefined, string> {
  const known = printed.get(rows);
  if (known !== undefined) return known;
  const [first] = rows;
  const isKept = typeof first === "object" && first !== null;
  const before = isKept ? blocksFrom.get(first) : undefined;
  const prints: string[] = [];
  for (let from = 0; from < rows.length; from += rowsInBlock) {
    const found = isSameBlock(before?.rows ?? [], rows, from)
      ? before?.prints[from / rowsInBlock]
      : undefined;
    prints.push(found ?? digestOf(JSON.stringify(rows.slice(from, from + rowsInBlock))));
    if (found === undefined) yield;
  }
  const print = digestOf(prints.join());
  printed.set(rows, print);
  if (isKept) blocksFrom.set(first, { rows, prints });
  return print;
}

/** Rows are never changed in place. */
function isSameBlock(before: readonly unknown[], rows: readonly unknown[], from: number): boolean {
  const to = Math.min(from + rowsInBlock, Math.max(before.length, rows.length));
  for (let i = from; i < to; i += 1) if (before[i] !== rows[i]) return false;
  return true;
}
