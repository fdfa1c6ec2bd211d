import { conversionOf, unitKept } from "../bench/channel.ts";
import { type ColumnGlimpse, columnsProposed } from "../bench/columnProposal.ts";
import { invalid } from "../bench/refusal.ts";
import { cellsOf } from "./logCells.ts";
import { numberIn } from "./logNumber.ts";
import { clockSeconds, instantSeconds } from "./logTime.ts";

/** Rows streamed while an attempt runs: times as written, and a value or NaN for each channel. */
export type LiveRows = Readonly<{
  channels: readonly Readonly<{ channel: string; unit: string }>[];
  /** `instant` times are seconds since 1970, others seconds from whatever start the recorder has. */
  timeKind: "seconds" | "instant";
  t: readonly number[];
  values: readonly (readonly number[])[];
}>;

const mostLines = 10_000;
const mostChannels = 200;

/** Reads NDJSON lines such as {"time": 12.5, "temperature": 61}, or CSV lines under a header. */
export function liveRowsIn(text: string): LiveRows {
  const lines = text.split(/\r?\n/).filter((line) => line.trim() !== "");
  if (lines.length === 0) throw invalid("There are no samples.");
  if (lines.length > mostLines)
    throw invalid(`At most ${mostLines.toLocaleString("en")} samples are taken at once.`);
  return lines[0]?.trim().startsWith("{") === true ? fromJsonLines(lines) : fromCsvLines(lines);
}

type Sample = Readonly<Record<string, unknown>>;

function fromJsonLines(lines: readonly string[]): LiveRows {
  const samples = lines.map(parsedSample);
  const names = [...new Set(samples.flatMap((sample) => Object.keys(sample)))].filter(
    (name) => name !== "time",
  );
  if (names.length > mostChannels) throw invalid(`A sample has at most ${mostChannels} channels.`);
  const times = samples.map((sample, at) => timeOf(sample.time, at + 1));
  const values = names.map((name) => samples.map((sample) => readingOf(sample[name], name)));
  const channels = names.map((name) => ({ channel: name, unit: unitKept(name, "") }));
  return { channels, ...agreed(times), values };
}

function parsedSample(line: string, at: number): Sample {
  try {
    const parsed: unknown = JSON.parse(line);
    if (typeof parsed === "object" && parsed !== null && !Array.isArray(parsed)) return parsed as Sample;
  } catch {
    // told below
  }
  throw invalid(`Line ${at + 1} is not a JSON object.`);
}

function readingOf(value: unknown, name: string): number {
  if (typeof value === "number") return value;
  if (typeof value === "boolean") return value ? 1 : 0;
  if (value === null || value === undefined) return Number.NaN;
  throw invalid(`A reading of "${name}" is not a number.`);
}

type WrittenTime = Readonly<{ seconds: number; kind: "seconds" | "instant" }>;

function timeOf(value: unknown, line: number): WrittenTime {
  if (typeof value === "number" && Number.isFinite(value)) return { seconds: value, kind: "seconds" };
  const instant = typeof value === "string" ? instantSeconds(value) : undefined;
  if (instant?.zoned === true) return { seconds: instant.seconds, kind: "instant" };
  throw invalid(`Line ${line} has no time: seconds, or a time like 2031-05-04T15:42:00Z.`);
}

function agreed(times: readonly WrittenTime[]): Pick<LiveRows, "t" | "timeKind"> {
  const timeKind = times[0]?.kind ?? "seconds";
  if (times.some(({ kind }) => kind !== timeKind)) throw invalid("The times are written in two ways.");
  return { t: times.map(({ seconds }) => seconds), timeKind };
}

/** The header names the channels, or is matched like that of a log. */
function fromCsvLines(lines: readonly string[]): LiveRows {
  const separator = [",", ";", "\t"].reduce((best, next) =>
    (lines[0]?.split(next).length ?? 0) > (lines[0]?.split(best).length ?? 0) ? next : best,
  );
  const [names = [], ...rows] = lines.map((line) => cellsOf(line, separator) ?? []);
  if (rows.length === 0) throw invalid("There is a header and no samples.");
  const matches = columnsProposed(names.map((name, at) => glimpseOf(name.trim(), rows, at)));
  const placeOf = (column: string | number): number =>
    typeof column === "number" ? column - 1 : names.findIndex((name) => name.trim() === column);
  const time = matches.find(({ channel }) => channel === "time");
  if (time === undefined) throw invalid("No column is a time.");
  const readings = matches.filter((match) => match !== time);
  const factor = conversionOf("time", time.unit)?.factor ?? 1;
  const times = rows.map((cells, at) => cellTime(cells[placeOf(time.column)] ?? "", at + 2, factor));
  const values = readings.map(({ channel, unit, column }) => {
    const { factor: by = 1, shift = 0 } = conversionOf(channel, unit) ?? {};
    const at = placeOf(column);
    return rows.map((cells) => Math.round((numberIn(cells[at] ?? "", ".") + shift) * by * 1e6) / 1e6);
  });
  const channels = readings.map(({ channel, unit }) => ({ channel, unit: unitKept(channel, unit) }));
  return { channels, ...agreed(times), values };
}

function glimpseOf(name: string, rows: readonly (readonly string[])[], at: number): ColumnGlimpse {
  const cells = rows.map((cells) => cells[at] ?? "").filter((cell) => cell.trim() !== "");
  const numbers = cells.map((cell) => numberIn(cell, ".")).filter((value) => !Number.isNaN(value));
  const instants = cells.filter((cell) => instantSeconds(cell) !== undefined).length;
  const kind =
    instants > 0 ? "instant" : cells.some((cell) => clockSeconds(cell) !== undefined) ? "clock" : "number";
  return { name, kind, numbers };
}

function cellTime(cell: string, line: number, factor: number): WrittenTime {
  const seconds = numberIn(cell, ".");
  return timeOf(Number.isNaN(seconds) ? cell : seconds * factor, line);
}
