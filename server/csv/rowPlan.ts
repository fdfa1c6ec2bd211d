import { conversionOf } from "../bench/logs/channel.ts";
import { type ColumnMatch, columnFlaw, uncounted } from "../bench/logs/columnMatch.ts";
import { invalid } from "../bench/things/refusal.ts";
import { isHeadless, type LogShape } from "./logShape.ts";
import { instantSeconds, type TimeWriting } from "./logTime.ts";
import { type DateOrder, dateOrders, writtenMoment } from "./writtenMoment.ts";

export type ReadingColumn = Readonly<{
  match: ColumnMatch;
  /** Its place in the line, from 0. */
  at: number;
  factor: number;
  shift: number;
  isFlag: boolean;
}>;

/** Which cells of a line are read, and how. */
export type RowPlan = Readonly<{
  /** -1 where no column is the time and rows are counted. */
  timeAt: number;
  timeWriting: TimeWriting;
  /** How dates are read, where the time is one. */
  dateOrder: DateOrder;
  secondsPerUnit: number;
  /** What the written time counts from, in seconds since 1970; null where it is no date. */
  epochS: number | null;
  /** True where the tester has said that an unlikely length is meant. */
  isSure: boolean;
  /** True where the written time is a local clock, which jumps over midnight and daylight saving. */
  wraps: boolean;
  readings: readonly ReadingColumn[];
}>;

/** Ties matches to the columns of a log; refused where a column is not there or holds no time. */
export function rowPlanOf(shape: LogShape, matches: readonly ColumnMatch[]): RowPlan {
  if (matches.length === 0) throw unmatched(shape);
  const flaw = columnFlaw(matches);
  if (flaw !== undefined) throw invalid(flaw, { columns: flaw });
  const time = matches.find((match) => match.channel === "time");
  if (time === undefined) throw invalid("One of the columns must be the time.");
  const timeAt = time.column === uncounted ? -1 : placeOf(shape, time);
  const timeWriting = timeAt < 0 ? "number" : writingOf(time, shape, timeAt);
  const dateOrder = timeWriting === "date" ? orderOf(time, shape, timeAt) : "ymd";
  const perUnit =
    (conversionOf("time", time.unit)?.factor ?? 1) * (time.unit === "count" ? (time.everyS ?? 1) : 1);
  const readings = matches.filter((match) => match !== time).map((match) => readingColumn(shape, match));
  return {
    timeAt,
    timeWriting,
    dateOrder,
    secondsPerUnit: perUnit,
    epochS: time.unit === "day" ? -spreadsheetDays * 86_400 : time.unit === "count" ? null : 0,
    isSure: time.sure === true,
    wraps: wrapsOf(timeWriting, shape, timeAt, dateOrder),
    readings,
  };
}

/** From the day a spreadsheet counts from to 1970. */
const spreadsheetDays = 25_569;

function unmatched(shape: LogShape) {
  const because = isHeadless(shape)
    ? `The log has no header: its first line holds numbers. Say which of its ${shape.names.length} columns is which.`
    : "Nothing in this log looks like a time beside readings. Say which column is which.";
  return invalid(because, { columns: because });
}

function placeOf(shape: LogShape, match: ColumnMatch): number {
  const at = typeof match.column === "number" ? match.column - 1 : shape.names.indexOf(match.column.trim());
  if (at >= 0 && at < shape.names.length) return at;
  const because = `The log has no column ${typeof match.column === "number" ? match.column : `"${match.column}"`}.`;
  throw invalid(because, { columns: because });
}

function readingColumn(shape: LogShape, match: ColumnMatch): ReadingColumn {
  const { factor = 1, shift = 0 } = conversionOf(match.channel, match.unit) ?? {};
  return { match, at: placeOf(shape, match), factor, shift, isFlag: match.channel === "throttle" };
}

/** The unit says how the time is written; without one, the first rows do. */
function writingOf(time: ColumnMatch, shape: LogShape, at: number): TimeWriting {
  if (time.unit === "m:s") return "minutes";
  if (time.unit === "h:m") return "clock";
  const { shortClock, firstCell = "" } = shape.columns[at] ?? {};
  if (shortClock === "open" && (time.unit === "clock" || time.unit === "")) throw openClock(firstCell);
  if (time.unit === "clock") return "clock";
  if (time.unit === "iso") return "instant";
  if (time.unit === "date" || (dateOrders as readonly string[]).includes(time.unit)) return "date";
  const kind = shape.columns[at]?.kind;
  if (kind === "clock" || kind === "instant" || kind === "date") return kind;
  if (kind === "text" || kind === "flag")
    throw invalid(`The column "${shape.names[at]}" holds no times.`, {
      columns: "The time column holds no times.",
    });
  return "number";
}

function openClock(firstCell: string) {
  const because = `"${firstCell}" may be minutes and seconds (m:s) or hours and minutes (h:m): say which.`;
  return invalid(because, { columns: because });
}

/** The order that was said, else the only one in which every date can be read; several are asked about. */
function orderOf(time: ColumnMatch, shape: LogShape, at: number): DateOrder {
  const said = dateOrders.find((order) => order === time.unit);
  if (said !== undefined) return said;
  const { dateOrders: left = [], firstCell = "" } = shape.columns[at] ?? {};
  const [only] = left as readonly DateOrder[];
  if (only !== undefined && left.length === 1) return only;
  const readings = (left as readonly DateOrder[]).map((order) => `${dayWords(firstCell, order)} (${order})`);
  const because =
    readings.length === 0
      ? `The dates in "${shape.names[at]}" cannot be read in one order: ${firstCell}.`
      : `"${firstCell}" may be ${readings.join(" or ")}: say which order the dates have.`;
  throw invalid(because, { columns: because });
}

const dayWords = (cell: string, order: DateOrder): string =>
  new Date((writtenMoment(cell, order)?.seconds ?? 0) * 1000).toLocaleDateString("en-GB", {
    ...{ day: "numeric", month: "long", year: "numeric", timeZone: "UTC" },
  });

/** A clock without a zone is a local one. */
function wrapsOf(writing: TimeWriting, shape: LogShape, at: number, order: DateOrder): boolean {
  if (writing === "clock") return true;
  const first = shape.columns[at]?.firstCell;
  if (first === undefined) return false;
  if (writing === "instant") return instantSeconds(first)?.zoned === false;
  return writing === "date" && writtenMoment(first, order)?.zoned === false;
}
