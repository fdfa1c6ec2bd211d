import { type Channel, isKnownChannel, unitKept } from "../bench/logs/channel.ts";
import { invalid } from "../bench/things/refusal.ts";
import { cellsInLine } from "./csvRecords.ts";

/** Rows sent while a run goes on: seconds since the attempt began, and for each channel a value for each time. */
export type SentSamples = Readonly<{
  channels: readonly Channel[];
  t: readonly number[];
  values: readonly (readonly number[])[];
  skipped: readonly Readonly<{ line: number; because: string }>[];
}>;

/** The names a field may have, each with the channel and the unit it speaks in. */
const fieldNames: Readonly<Record<string, Channel>> = {
  temperatureC: { channel: "temperature", unit: "°C" },
  supplyC: { channel: "supply", unit: "°C" },
  ambientC: { channel: "ambient", unit: "°C" },
  powerW: { channel: "power", unit: "W" },
  voltageMv: { channel: "voltage", unit: "mV" },
  currentA: { channel: "current", unit: "A" },
  clockMhz: { channel: "clock", unit: "MHz" },
  fanRpm: { channel: "fan", unit: "rpm" },
  loadPercent: { channel: "load", unit: "%" },
  throttled: { channel: "throttle", unit: "" },
};
const timeNames = ["elapsedS", "at"] as const;
const mostLines = 100_000;
const longestName = 80;
/** Of one trace. */
export const mostSampledChannels = 64;

type Line = Readonly<{ line: number; fields: Readonly<Record<string, unknown>> | string }>;

/** Reads NDJSON, an object a line. A line that cannot be read is skipped and told. */
export const samplesFromNdjson = (text: string, startedAt: string): SentSamples =>
  samplesFrom(
    linesOf(text).map(([line, words]) => ({ line, fields: objectIn(words) })),
    startedAt,
  );

/** Reads CSV with a header of the same names. */
export function samplesFromCsv(text: string, startedAt: string): SentSamples {
  const [[, header] = [0, ""], ...rows] = linesOf(text);
  const names = (cellsInLine(header, ",") ?? []).map((name) => name.trim());
  if (!names.some((name) => isTime(name)))
    throw invalid('The first line names the columns; one of them is "elapsedS" or "at".');
  const lines = rows.map(([line, words]): Line => {
    const cells = cellsInLine(words, ",");
    if (cells === undefined) return { line, fields: "A quotation mark is opened and never closed." };
    if (cells.length !== names.length)
      return { line, fields: `It has ${cells.length} cells and the header ${names.length}.` };
    return { line, fields: Object.fromEntries(names.map((name, i) => [name, cells[i]])) };
  });
  return samplesFrom(lines, startedAt);
}

function linesOf(text: string): [line: number, words: string][] {
  const lines = text
    .replace(/^\ufeff/, "")
    .split(/\r?\n/)
    .map((words, i): [number, string] => [i + 1, words])
    .filter(([, words]) => words.trim() !== "");
  if (lines.length === 0) throw invalid("No line was sent.");
  if (lines.length > mostLines)
    throw invalid(`At most ${mostLines.toLocaleString("en")} lines are taken at once.`);
  return lines;
}

function objectIn(words: string): Line["fields"] {
  try {
    const found: unknown = JSON.parse(words);
    return typeof found === "object" && found !== null && !Array.isArray(found)
      ? (found as Record<string, unknown>)
      : "It is not an object with named fields.";
  } catch {
    return "It is not JSON.";
  }
}

function samplesFrom(lines: readonly Line[], startedAt: string): SentSamples {
  const skipped: { line: number; because: string }[] = [];
  const t: number[] = [];
  const rows: Map<string, number>[] = [];
  const channels = new Map<string, Channel>();
  for (const { line, fields } of lines) {
    const read = typeof fields === "string" ? fields : rowIn(fields, startedAt);
    if (typeof read === "string") {
      skipped.push({ line, because: read });
      continue;
    }
    t.push(read.t);
    rows.push(read.values);
    for (const channel of read.channels) channels.set(channel.channel, channel);
    if (channels.size > mostSampledChannels)
      throw invalid(`A trace has at most ${mostSampledChannels} channels; line ${line} names another.`);
  }
  const named = [...channels.values()];
  return {
    channels: named,
    t,
    values: named.map(({ channel }) => rows.map((row) => row.get(channel) ?? Number.NaN)),
    skipped,
  };
}

type Row = Readonly<{ t: number; values: Map<string, number>; channels: Channel[] }>;

function rowIn(fields: Readonly<Record<string, unknown>>, startedAt: string): Row | string {
  const t = timeIn(fields, startedAt);
  if (t === null)
    return 'It has no time: "elapsedS" in seconds, or "at" as ISO 8601, from the start of the attempt on.';
  const values = new Map<string, number>();
  const channels: Channel[] = [];
  for (const [name, sent] of Object.entries(fields)) {
    if (isTime(name)) continue;
    const channel = channelNamed(name);
    if (typeof channel === "string") return channel;
    const value = readingIn(sent);
    if (value === null) continue;
    if (!Number.isFinite(value)) return `"${name}" is not a number.`;
    values.set(channel.channel, value);
    channels.push(channel);
  }
  return { t, values, channels };
}

/** One of the names above, or a channel by its own name; any other name is the tester's, its unit in brackets. */
function channelNamed(name: string): Channel | string {
  const field = Object.hasOwn(fieldNames, name) ? fieldNames[name] : undefined;
  if (field) return field;
  const [, own = "", unit = ""] = /^(.*?)\s*(?:[[(]\s*([^\])]*?)\s*[\])])?\s*$/s.exec(name) ?? [];
  const channel = own.toWellFormed().trim();
  if (channel === "" || channel === "time" || channel.includes("\u0000"))
    return `"${name.slice(0, 60)}" cannot be the name of a channel.`;
  if (channel.length > longestName) return `The name of a channel has at most ${longestName} characters.`;
  if (isKnownChannel(channel)) return { channel, unit: unitKept(channel, "") };
  return { channel, unit: unit.toWellFormed().slice(0, 20) };
}

const isTime = (name: string): boolean => (timeNames as readonly string[]).includes(name);

function timeIn({ elapsedS, at }: Readonly<Record<string, unknown>>, startedAt: string): number | null {
  const elapsed = readingIn(elapsedS);
  const seconds =
    elapsed ?? (typeof at === "string" ? (Date.parse(at) - Date.parse(startedAt)) / 1000 : Number.NaN);
  return Number.isFinite(seconds) && seconds >= 0 && seconds <= 2_592_000 ? seconds : null;
}

/** Null where nothing was read. */
function readingIn(sent: unknown): number | null {
  if (sent === null || sent === undefined) return null;
  if (typeof sent === "boolean") return Number(sent);
  if (typeof sent === "number") return sent;
  if (typeof sent !== "string") return Number.NaN;
  const words = sent.trim();
  if (words === "") return null;
  if (words === "true" || words === "false") return Number(words === "true");
  return Number(words);
}
