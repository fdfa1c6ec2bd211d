import { conversionOf, unitSpelled } from "../bench/logs/channel.ts";
import { type ColumnGlimpse, unitWritten } from "../bench/logs/columnProposal.ts";
import { type AttemptColumn, attemptColumns, type Meaning, unitsFor } from "./attemptColumns.ts";
import { dayComesFirst } from "./momentCell.ts";

/** A meaning for each column of a file by its header and first cells; each field once. */
export function meaningsProposed(columns: readonly ColumnGlimpse[]): readonly Meaning[] {
  const taken = new Set<string>();
  return columns.map((glimpse) => {
    const found =
      namedExactly(glimpse.name) ??
      attemptColumns.find((column) => !taken.has(column.field) && fits(column, glimpse));
    if (!found || taken.has(found.field)) return null;
    taken.add(found.field);
    return { field: found.field, unit: unitOf(found, glimpse) };
  });
}

const bare = (name: string): string => name.toLowerCase().replace(/[^a-z]/g, "");
const exact = new Map(attemptColumns.map((column) => [bare(column.field), column]));
const namedExactly = (name: string): AttemptColumn | undefined => {
  const field = fieldIn(name);
  return /[\s([]/.test(field) ? undefined : exact.get(bare(field));
};

/** A name of a field may be followed by its unit in brackets, as the export writes it. */
const fieldIn = (name: string): string => name.trim().replace(/^(\w+) \[[^\]]*\]$/, "$1");

/** The word "clock" at the end of a header is no unit here. */
function unitIn(name: string): string | undefined {
  const written = unitWritten(name);
  return written !== undefined && ["clock", "iso", "count"].includes(written) ? undefined : written;
}

const isTimeUnit = (unit: string | undefined): boolean =>
  unit !== undefined && ["s", "min", "h"].includes(unit);

const hasDay = (cell: string): boolean => /\d[-/.]\d{1,2}[-/.]\d|\d \p{L}{3,} \d{4}/u.test(cell);
const hasClock = (cell: string): boolean => /\d:\d\d/.test(cell);

function fits(
  { heads, reads, field }: AttemptColumn,
  { name, kind, firstCell = "" }: ColumnGlimpse,
): boolean {
  const unit = unitIn(name);
  if (field === "durationS" && /^time\b/i.test(name) && isTimeUnit(unit)) return true;
  if (!heads.test(name)) return false;
  if (reads.as === "moment") return hasDay(firstCell) && hasClock(firstCell);
  if (reads.as === "day") return hasDay(firstCell) && !hasClock(firstCell);
  if (reads.as === "clock") return hasClock(firstCell) && !hasDay(firstCell);
  if (reads.as === "duration") return unit === undefined || isTimeUnit(unit);
  if (reads.as !== "quantity") return field !== "outcome" || kind !== "number";
  if (kind === "clock" || kind === "instant" || kind === "date") return false;
  return unit === undefined || conversionOf(reads.channel, unit) !== undefined;
}

const keptUnits: Readonly<Record<string, string>> = {
  Mhz: "MHz",
  Mv: "mV",
  S: "s",
  C: "°C",
  W: "W",
  A: "A",
  Rpm: "rpm",
};

/** The unit written in the header, or in the name of the field; a voltage or clock without one is told by its size. */
function unitOf(column: AttemptColumn, { name, kind, numbers, cellUnit = "" }: ColumnGlimpse): string {
  const units = unitsFor(column);
  const written = unitIn(name);
  if (written !== undefined && units.includes(written)) return written;
  const suffix = /(?:Mhz|Mv|Rpm|[a-z](?:S|C|W|A))$/.exec(fieldIn(name))?.[0] ?? "";
  const ofField = keptUnits[suffix] ?? keptUnits[suffix.slice(1)];
  if (ofField !== undefined && units.includes(ofField)) return ofField;
  if (column.reads.as === "duration")
    return kind === "number" ? (spelledOut(name) ?? timeUnit(cellUnit) ?? "?") : "s";
  const largest = Math.max(0, ...numbers.map(Math.abs));
  if (column.reads.as === "quantity" && largest > 0) {
    if (column.reads.channel === "voltage") return largest < 30 ? "V" : "mV";
    if (column.reads.channel === "clock") return largest < 20 ? "GHz" : "MHz";
  }
  return units[0] ?? "";
}

const timeUnit = (written: string): string | undefined => {
  const unit = unitSpelled(written);
  return isTimeUnit(unit) ? unit : undefined;
};

const spelledOut = (name: string): string | undefined =>
  /\bmin/i.test(name) ? "min" : /\bhours?\b/i.test(name) ? "h" : /\bsec/i.test(name) ? "s" : undefined;

/** Whether days come before months in the columns that hold dates; null where none tells. */
export const dayOrderIn = (
  meanings: readonly Meaning[],
  cellsOf: (at: number) => Iterable<string>,
): boolean | null => {
  for (const [at, meaning] of meanings.entries())
    if (meaning?.field === "startedAt" || meaning?.field === "startedOn") return dayComesFirst(cellsOf(at));
  return null;
};
