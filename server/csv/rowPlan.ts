import { conversionOf } from "../bench/logs/channel.ts";
import { type ColumnMatch, columnFlaw } from "../bench/logs/columnMatch.ts";
import { invalid } from "../bench/things/refusal.ts";
import type { LogShape } from "./logShape.ts";
import { instantSeconds, type TimeWriting } from "./logTime.ts";

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
  timeAt: number;
  timeWriting: TimeWriting;
  secondsPerUnit: number;
  /** True where the written time is a local clock, which jumps over midnight and daylight saving. */
  wraps: boolean;
  readings: readonly ReadingColumn[];
}>;

/** Ties matches to the columns of a log; refused where a column is not there or holds no time. */
export function rowPlanOf(shape: LogShape, matches: readonly ColumnMatch[]): RowPlan {
  const flaw = columnFlaw(matches);
  if (flaw !== undefined) throw invalid(flaw, { columns: flaw });
  const time = matches.find((match) => match.channel === "time");
  if (time === undefined) throw invalid("One of the columns must be the time.");
  const timeAt = placeOf(shape, time);
  const timeWriting = writingOf(time, shape, timeAt);
  const perUnit =
    (conversionOf("time", time.unit)?.factor ?? 1) * (time.unit === "count" ? (time.everyS ?? 1) : 1);
  const readings = matches.filter((match) => match !== time).map((match) => readingColumn(shape, match));
  return {
    timeAt,
    timeWriting,
    secondsPerUnit: perUnit,
    wraps: wrapsOf(timeWriting, shape, timeAt),
    readings,
  };
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
  if (time.unit === "clock") return "clock";
  if (time.unit === "iso") return "instant";
  const kind = shape.columns[at]?.kind;
  if (kind === "clock" || kind === "instant") return kind;
  if (kind === "text" || kind === "flag")
    throw invalid(`The column "${shape.names[at]}" holds no times.`, {
      columns: "The time column holds no times.",
    });
  return "number";
}

function wrapsOf(writing: TimeWriting, shape: LogShape, at: number): boolean {
  if (writing === "clock") return true;
  return writing === "instant" && shape.columns[at]?.firstCell !== undefined
    ? instantSeconds(shape.columns[at]?.firstCell ?? "")?.zoned === false
    : false;
}
