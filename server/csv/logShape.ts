import { unitSpelled } from "../bench/logs/channel.ts";
import { type ColumnGlimpse, type ColumnKind, isTimeName } from "../bench/logs/columnProposal.ts";
import { type LogLimits, lineTooLong, tooManyColumns } from "../bench/logs/logLimits.ts";
import { invalid, type Refusal } from "../bench/things/refusal.ts";
import { fieldsInLine, lineCellsOf, type Separator } from "./lineCells.ts";
import { type DecimalSign, decimalSignOf, flagIn, numberIn, unitIn } from "./logNumber.ts";
import { clockSeconds, instantSeconds, shortClockOf } from "./logTime.ts";
import { ordersOf, ordersOfAll } from "./writtenMoment.ts";

/** How one log is written. */
export type LogShape = Readonly<{
  separator: Separator;
  decimal: DecimalSign;
  /** The header's cells, blank ones at its end left out; made up where there is no header. */
  names: readonly string[];
  /** The header's line as it stands, to know it again; empty where there is none. */
  headerLine: string;
  /** The line the header stands on, counted from 1; 0 where there is none. */
  headerAt: number;
  columns: readonly ColumnGlimpse[];
}>;

export const tableSeparators = [",", ";", "\t", "|", " "] as const;
export type TableSeparator = (typeof tableSeparators)[number];

/** Where the table of a log begins and what parts its cells, as somebody says: the line of its names, 0 where none has them. */
export type TableTold = Readonly<{ separator: TableSeparator; headerAt: number }>;

export const separatorWords: Readonly<Record<Separator, string>> = {
  ",": "commas",
  ";": "semicolons",
  "\t": "tabs",
  "|": "pipes",
  " ": "blanks",
  json: "JSON",
};
const rowsLooked = 200;
const linesBeforeHeader = 30;

type Row = readonly string[] | undefined;
type Reading = Readonly<{
  separator: Separator;
  names: readonly string[];
  /** The place of the header among the lines; -1 where there is none. */
  headerAt: number;
  /** How many rows have a cell for each name, and hold a number. */
  agreeing: number;
}>;

/** Separator, decimal sign and header from the first lines of a log, as found or as told. */
export function logShapeOf(head: readonly string[], limits: LogLimits, told?: TableTold): LogShape {
  const long = head.findIndex((line) => line.length > limits.lineBytes);
  if (long >= 0) throw lineTooLong(long + 1, limits);
  if (head.every((line) => line.trim() === "")) throw invalid("The log is empty.");
  if (told !== undefined) return shapeOf(head, toldReading(head, told), limits);
  const lines = head.slice(0, rowsLooked + linesBeforeHeader);
  const found = objectsIn(lines) ?? bestOf(lines, readingOf) ?? bestOf(lines, headlessOf);
  if (found === undefined) throw shapeRefusal(lines);
  return shapeOf(lines, found, limits);
}

const bestOf = (
  lines: readonly string[],
  read: (lines: readonly string[], separator: Separator) => Reading | undefined,
): Reading | undefined =>
  tableSeparators
    .map((separator) => read(lines, separator))
    .reduce((best, next) => (betterOf(best, next) ? next : best), undefined);

/** More rows that agree; of as many, more columns. Blanks also stand inside cells: only where most rows agree on nothing else. */
function betterOf(best: Reading | undefined, next: Reading | undefined): boolean {
  if (best === undefined || next === undefined) return next !== undefined;
  if (next.separator === " ") return next.agreeing > 2 * best.agreeing;
  return (
    next.agreeing > best.agreeing ||
    (next.agreeing === best.agreeing && next.names.length > best.names.length)
  );
}

/** An object a line: the names of all the fields in the first of them. */
function objectsIn(lines: readonly string[]): Reading | undefined {
  const written = lines.filter((line) => line.trim() !== "");
  const objects = written.flatMap((line) => (line.includes("{") ? [fieldsInLine(line)] : []));
  const read = objects.filter((fields) => fields !== undefined);
  if (read.length === 0 || 2 * read.length < written.length) return undefined;
  const names = [...new Set(read.flatMap((fields) => [...fields.keys()]))];
  return names.length < 2 ? undefined : { separator: "json", names, headerAt: -1, agreeing: read.length };
}

/** The header that the most rows below it fit; of several, the last, since a line of groups stands above it. */
function readingOf(lines: readonly string[], separator: Separator): Reading | undefined {
  const take = lineCellsOf(separator);
  const rows = lines.map((line): Row => take(line));
  let best: Reading | undefined;
  rows.slice(0, linesBeforeHeader).forEach((written, at) => {
    const below = rows.slice(at + 1);
    const next = below.find((row) => row !== undefined && !isRule(row));
    const cells = withoutHash(written, next);
    if (!isHeader(cells, next)) return;
    const names = namesFor(cells ?? [], below);
    const agreeing = below.filter(
      (row) => row !== undefined && fits(row, names.length) && holdsNumber(row),
    ).length;
    if (
      best === undefined ||
      agreeing > best.agreeing ||
      (agreeing === best.agreeing && isLower(rows, best, at))
    )
      best = { separator, names, headerAt: at, agreeing };
  });
  return best && underItsNames(best, rows);
}

/** Command-line tools mark the line of their names by a hash, before the first name or as a cell of its own. */
function withoutHash(cells: Row, next: Row): Row {
  const [first = "", ...rest] = cells ?? [];
  if (first.trim() === "#" && next !== undefined && named(next).length === rest.length) return rest;
  const bare = first.replace(/^\s*#\s*(?=[\p{L}_])/u, "");
  return cells === undefined || bare === first ? cells : [bare, ...rest];
}

/** A line of units alone stands under the names: both together are the header. */
function underItsNames(found: Reading, rows: readonly Row[]): Reading {
  const below = rows[found.headerAt + 1];
  if (below !== undefined && isUnits(below) && named(below).length <= found.names.length)
    return { ...found, names: withUnits(found.names, below), headerAt: found.headerAt + 1 };
  const names = withoutHash(rows[found.headerAt - 1], rows[found.headerAt]);
  if (names === undefined || !isUnits(found.names) || !isHeader(names, found.names)) return found;
  if (named(names).length < found.names.length) return found;
  return {
    ...found,
    names: withUnits(
      found.names.map((_, at) => names[at] ?? ""),
      found.names,
    ),
  };
}

const withUnits = (names: readonly string[], units: readonly string[]): readonly string[] =>
  names.map((written, at) => {
    const [name, unit] = [written.trim(), (units[at] ?? "").trim()];
    return name === "" || !isUnit(unit) ? name : `${name} [${bareUnit(unit)}]`;
  });

const bareUnit = (cell: string): string => cell.replace(/^[\s[(]+|[\s\])]+$/g, "");

const isUnit = (cell: string): boolean =>
  unitSpelled(bareUnit(cell)) !== undefined &&
  !/^(clock|iso|count|days?|date|[ymd]{3})$/i.test(bareUnit(cell));

const isUnits = (cells: readonly string[]): boolean =>
  cells.some(isUnit) && cells.every((cell) => /^[\s-]*$/.test(cell) || isUnit(cell));

/** A second header-like line counts only where no row of numbers lies between. */
const isLower = (rows: readonly Row[], { headerAt }: Reading, at: number): boolean =>
  !rows.slice(headerAt + 1, at).some((row) => row !== undefined && holdsNumber(row));

const holdsNumber = (cells: readonly string[]): boolean =>
  cells.some((cell) => isWritten(cell) || unitSpelled(unitIn(cell)?.unit ?? "") !== undefined);

const isRule = (cells: readonly string[]): boolean => cells.every((cell) => /^[-=+:_\s]*$/.test(cell));

/** A header names at least two columns and holds no number; a title line above it has fewer cells than the line below. */
function isHeader(cells: Row, next: Row): boolean {
  if (cells === undefined) return false;
  const names = named(cells);
  if (names.filter((name) => name.trim() !== "").length < 2 || isRule(names)) return false;
  // Some recorders begin their header with the time at which they began.
  const isBegun = clockSeconds(names[0] ?? "") !== undefined;
  const bare = isBegun ? names.slice(1) : names;
  if (bare.length < 1 || bare.some((name) => isWritten(name) || (isBegun && !isName(name)))) return false;
  if (2 * bare.filter(isTally).length > bare.length) return false;
  return next === undefined || next.length >= names.length || next.every((cell) => cell.trim() === "");
}

/** "3 running": a count and what was counted, as totals above a table are written; "5 min" and "12 V" name columns. */
function isTally(cell: string): boolean {
  const word = /^\s*[\d.,]+ (\p{Ll}\S*)/u.exec(cell)?.[1];
  return word !== undefined && unitSpelled(word) === undefined;
}

/** Begins like a word, and is not what a clock of twelve hours has behind it. */
const isName = (cell: string): boolean => /^\s*(?!["']?[ap]m\b)[\p{L}"'#%°[(]/iu.test(cell);

const isWritten = (cell: string): boolean =>
  !Number.isNaN(numberIn(cell, ".")) ||
  !Number.isNaN(numberIn(cell, ",")) ||
  clockSeconds(cell) !== undefined;

function named(cells: readonly string[]): readonly string[] {
  let width = cells.length;
  while (width > 0 && (cells[width - 1] ?? "").trim() === "") width -= 1;
  return cells.slice(0, width);
}

/** The header's names; where nearly every row has a cell more, one of them has no name: the label in front, else the last. */
function namesFor(header: readonly string[], below: readonly Row[]): readonly string[] {
  const bare = named(header).map((name) => name.trim());
  const names = clockSeconds(bare[0] ?? "") === undefined ? bare : ["time", ...bare.slice(1)];
  const rows = below.flatMap((row) => (row !== undefined && holdsNumber(row) ? [named(row)] : []));
  const longer = rows.filter((row) => row.length === names.length + 1);
  if (longer.length < 0.5 * rows.length || longer.length < 2) return names;
  if (isTimeName(names[0] ?? "") && runsOn(longer, 0) && !runsOn(longer, 1)) return [...names, ""];
  return longer.every((row) => Number.isNaN(numberIn(row[0] ?? "", "."))) || isCounted(longer)
    ? isTimed(longer)
      ? [...names, ""]
      : ["", ...names]
    : [...names, ""];
}

const isCounted = (rows: readonly (readonly string[])[]): boolean =>
  rows.every((row, at) => Number(row[0]) === Number(rows[0]?.[0]) + at);

/** The cells of a column are times of day, or numbers that rise and never fall. */
function runsOn(rows: readonly (readonly string[])[], at: number): boolean {
  const cells = rows.map((row) => row[at] ?? "");
  const number = (cell: string, point = numberIn(cell, ".")): number =>
    Number.isNaN(point) ? numberIn(cell, ",") : point;
  const times = cells.map((cell) => clockSeconds(cell) ?? number(cell));
  const isRising = times.every((time, row) => row === 0 || time >= (times[row - 1] as number));
  return cells.every((cell) => clockSeconds(cell) !== undefined) || (isRising && times.at(-1) !== times[0]);
}

/** The last cell of each row is a time, whatever the first is. */
const isTimed = (rows: readonly (readonly string[])[]): boolean =>
  rows.every(
    (row) => clockSeconds(row[0] ?? "") === undefined && clockSeconds(row.at(-1) ?? "") !== undefined,
  );

/** A row fits when it has a cell for each name, and nothing but blanks beyond. */
export const fits = (cells: readonly string[], width: number): boolean =>
  cells.length >= width && cells.slice(width).every((cell) => cell.trim() === "");

/** Rows of numbers from the first line on: columns without a name. */
function headlessOf(lines: readonly string[], separator: Separator): Reading | undefined {
  const take = lineCellsOf(separator);
  const rows = lines
    .map((line): Row => take(line))
    .filter((row) => row !== undefined && row.join("").trim() !== "");
  const width = rows[0]?.length ?? 0;
  const agreeing = rows.filter((row) => row?.length === width && holdsNumber(row)).length;
  if (width < 2 || agreeing < 0.5 * rows.length) return undefined;
  const names = Array.from({ length: width }, (_, at) => `column ${at + 1}`);
  return { separator, names, headerAt: -1, agreeing };
}

/** The table where it is said to begin; names are made up where no line has them. */
function toldReading(lines: readonly string[], { separator, headerAt }: TableTold): Reading {
  const take = lineCellsOf(separator);
  if (headerAt > lines.length - 1) {
    const because = `Only the first ${lines.length} lines are looked at; name one of them that has rows below it.`;
    throw invalid(because, { headerAt: because });
  }
  const below = lines.slice(headerAt).map((line): Row => take(line));
  const header = withoutHash(take(lines[headerAt - 1] ?? ""), below[0]) ?? [];
  const names = headerAt > 0 ? namesFor(header, below) : madeUpFor(below);
  if (names.length >= 2) return { separator, names, headerAt: headerAt - 1, agreeing: 0 };
  const where = headerAt > 0 ? `Line ${headerAt}` : "Each line";
  const because = `${where} taken apart at ${separatorWords[separator]} gives one cell; at least two are needed.`;
  throw invalid(because, { separator: because });
}

/** As many as most rows with a number have cells. */
function madeUpFor(rows: readonly Row[]): readonly string[] {
  const counts = new Map<number, number>();
  for (const row of rows)
    if (row !== undefined && holdsNumber(row)) counts.set(row.length, (counts.get(row.length) ?? 0) + 1);
  const [width] = [...counts].sort((a, b) => b[1] - a[1])[0] ?? [0];
  return Array.from({ length: width }, (_, at) => `column ${at + 1}`);
}

export const isHeadless = ({ headerAt, separator }: LogShape): boolean =>
  headerAt === 0 && separator !== "json";

/** What was tried and on which line it failed, and what would help. */
function shapeRefusal(lines: readonly string[]): Refusal {
  const at = lines.findIndex((line) => line.trim() !== "");
  const first = lines[at] ?? "";
  const widths = tableSeparators.map(
    (separator) => [separatorWords[separator], lineCellsOf(separator)(first)?.length ?? 0] as const,
  );
  const [words, widest] = widths.reduce((most, next) => (next[1] > most[1] ? next : most));
  const tried = `Line ${at + 1} was taken apart at commas, semicolons, tabs, pipes and blanks`;
  if (widest < 2)
    return invalid(
      `The log has one column: ${tried.charAt(0).toLowerCase()}${tried.slice(1)}, and each gives one cell. A time and at least one reading are needed, with one sign between them.`,
    );
  return invalid(
    `The log has no header, and its rows do not agree: ${tried.charAt(0).toLowerCase()}${tried.slice(1)}; ${words} give the most, ${widest} cells. A first line that names the columns, or rows of as many cells, would help.`,
  );
}

function shapeOf(lines: readonly string[], found: Reading, limits: LogLimits): LogShape {
  const { names, separator } = found;
  const headerLine = lines[found.headerAt] ?? "";
  if (names.length > limits.columns) throw tooManyColumns(names.length, limits);
  const take = lineCellsOf(separator, names);
  const rows = lines
    .slice(found.headerAt + 1, found.headerAt + 1 + rowsLooked)
    .filter((line) => line.trim() !== "" && line.trim() !== headerLine.trim())
    .map(take)
    .filter((cells) => cells !== undefined && fits(cells, names.length) && holdsNumber(cells));
  const decimal = decimalSignOf(
    rows.flatMap((cells) => cells ?? []),
    separator,
  );
  const columns = names.map((name, at) =>
    glimpseOf(
      name,
      rows.map((cells) => cells?.[at] ?? ""),
      decimal,
    ),
  );
  return { separator, decimal, names, headerLine, headerAt: found.headerAt + 1, columns };
}

export function glimpseOf(name: string, cells: readonly string[], decimal: DecimalSign): ColumnGlimpse {
  const written = cells.filter((cell) => cell.trim() !== "");
  const units = written.flatMap((cell) => unitIn(cell) ?? []);
  const isUnited = 2 * units.length > written.length;
  const numbers = written
    .map((cell) => numberIn((isUnited ? unitIn(cell)?.number : undefined) ?? cell, decimal))
    .filter((value) => !Number.isNaN(value));
  const kind = kindOf(written, numbers.length);
  return {
    name,
    kind,
    numbers,
    ...(written[0] === undefined ? {} : { firstCell: written[0] }),
    ...(isUnited && units[0] !== undefined ? { cellUnit: units[0].unit } : {}),
    ...(kind === "clock" ? shortClockIn(name, written) : {}),
    ...(kind === "date" ? { dateOrders: ordersOfAll(written) } : {}),
  };
}

function shortClockIn(name: string, written: readonly string[]): Pick<ColumnGlimpse, "shortClock"> {
  const shortClock = shortClockOf(name, written);
  return shortClock === undefined ? {} : { shortClock };
}

function kindOf(written: readonly string[], numbers: number): ColumnKind {
  if (written.length === 0) return "blank";
  const most = written.length / 2;
  if (numbers >= most) return "number";
  if (written.filter((cell) => instantSeconds(cell) !== undefined).length > most) return "instant";
  if (written.filter((cell) => ordersOf(cell).length > 0).length > most) return "date";
  if (written.filter((cell) => clockSeconds(cell) !== undefined).length > most) return "clock";
  if (written.filter((cell) => !Number.isNaN(flagIn(cell))).length > most) return "flag";
  return numbers > 0 ? "number" : "text";
}
