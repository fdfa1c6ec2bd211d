import type { ColumnGlimpse, ColumnKind } from "../bench/logs/columnProposal.ts";
import { type LogLimits, lineTooLong, tooManyColumns } from "../bench/logs/logLimits.ts";
import { invalid } from "../bench/things/refusal.ts";
import { cellsOf } from "./logCells.ts";
import { type DecimalSign, decimalSignOf, flagIn, numberIn } from "./logNumber.ts";
import { clockSeconds, instantSeconds } from "./logTime.ts";

/** How one log is written. */
export type LogShape = Readonly<{
  separator: string;
  decimal: DecimalSign;
  /** The header's cells, blank ones at its end left out. */
  names: readonly string[];
  /** The header's line as it stands, to know it again. */
  headerLine: string;
  /** The line the header stands on, counted from 1. */
  headerAt: number;
  columns: readonly ColumnGlimpse[];
}>;

const separators = [",", ";", "\t"] as const;
const rowsLooked = 200;
const linesBeforeHeader = 30;

type Reading = Readonly<{ separator: string; headerAt: number; width: number; agreeing: number }>;

/** Separator, decimal sign and header from the first lines of a log. */
export function logShapeOf(head: readonly string[], limits: LogLimits): LogShape {
  const long = head.findIndex((line) => line.length > limits.lineBytes);
  if (long >= 0) throw lineTooLong(long + 1, limits);
  if (head.every((line) => line.trim() === "")) throw invalid("The log is empty.");
  const lines = head.slice(0, rowsLooked + linesBeforeHeader);
  const found = separators
    .map((separator) => readingOf(lines, separator))
    .reduce((best, next) => (betterOf(best, next) ? next : best));
  if (found === undefined) throw headerRefusal(lines);
  return shapeOf(lines, found, limits);
}

const betterOf = (best: Reading | undefined, next: Reading | undefined): boolean =>
  next !== undefined &&
  (best === undefined ||
    next.agreeing > best.agreeing ||
    (next.agreeing === best.agreeing && next.width > best.width));

function readingOf(lines: readonly string[], separator: string): Reading | undefined {
  const rows = lines.map((line) => cellsOf(line, separator));
  const headerAt = rows.slice(0, linesBeforeHeader).findIndex((cells, at) => isHeader(cells, rows[at + 1]));
  const header = rows[headerAt];
  if (header === undefined) return undefined;
  const width = named(header).length;
  const agreeing = rows
    .slice(headerAt + 1)
    .filter((cells) => cells !== undefined && fits(cells, width)).length;
  return { separator, headerAt, width, agreeing };
}

/** A header names at least two columns and holds no number; a title line above it has fewer cells than the line below. */
function isHeader(cells: readonly string[] | undefined, next: readonly string[] | undefined): boolean {
  if (cells === undefined) return false;
  const names = named(cells);
  if (names.filter((name) => name.trim() !== "").length < 2) return false;
  if (names.some((name) => isWritten(name))) return false;
  return next === undefined || next.length >= names.length || next.every((cell) => cell.trim() === "");
}

const isWritten = (cell: string): boolean =>
  !Number.isNaN(numberIn(cell, ".")) ||
  !Number.isNaN(numberIn(cell, ",")) ||
  clockSeconds(cell) !== undefined;

function named(cells: readonly string[]): readonly string[] {
  let width = cells.length;
  while (width > 0 && (cells[width - 1] ?? "").trim() === "") width -= 1;
  return cells.slice(0, width);
}

/** A row fits when it has a cell for each name, and nothing but blanks beyond. */
export const fits = (cells: readonly string[], width: number): boolean =>
  cells.length >= width && cells.slice(width).every((cell) => cell.trim() === "");

function headerRefusal(lines: readonly string[]) {
  const first = lines.find((line) => line.trim() !== "") ?? "";
  const widest = Math.max(...separators.map((separator) => cellsOf(first, separator)?.length ?? 0));
  if (widest < 2) return invalid("The log has one column; a time and at least one reading are needed.");
  return invalid("The log has no header: its first line must name the columns.");
}

function shapeOf(lines: readonly string[], found: Reading, limits: LogLimits): LogShape {
  const headerLine = lines[found.headerAt] ?? "";
  const names = named(cellsOf(headerLine, found.separator) ?? []).map((name) => name.trim());
  if (names.length > limits.columns) throw tooManyColumns(names.length, limits);
  const rows = lines
    .slice(found.headerAt + 1, found.headerAt + 1 + rowsLooked)
    .map((line) => cellsOf(line, found.separator))
    .filter((cells) => cells !== undefined && fits(cells, names.length) && cells.join("") !== names.join(""));
  const decimal = decimalSignOf(
    rows.flatMap((cells) => cells ?? []),
    found.separator,
  );
  const columns = names.map((name, at) =>
    glimpseOf(
      name,
      rows.map((cells) => cells?.[at] ?? ""),
      decimal,
    ),
  );
  return { separator: found.separator, decimal, names, headerLine, headerAt: found.headerAt + 1, columns };
}

export function glimpseOf(name: string, cells: readonly string[], decimal: DecimalSign): ColumnGlimpse {
  const written = cells.filter((cell) => cell.trim() !== "");
  const numbers = written.map((cell) => numberIn(cell, decimal)).filter((value) => !Number.isNaN(value));
  const kind = kindOf(written, numbers.length);
  return { name, kind, numbers, ...(written[0] === undefined ? {} : { firstCell: written[0] }) };
}

function kindOf(written: readonly string[], numbers: number): ColumnKind {
  if (written.length === 0) return "blank";
  const most = written.length / 2;
  if (numbers >= most) return "number";
  if (written.filter((cell) => instantSeconds(cell) !== undefined).length > most) return "instant";
  if (written.filter((cell) => clockSeconds(cell) !== undefined).length > most) return "clock";
  if (written.filter((cell) => !Number.isNaN(flagIn(cell))).length > most) return "flag";
  return numbers > 0 ? "number" : "text";
}
