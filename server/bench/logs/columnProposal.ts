import { conversionOf, type KnownChannel, unitSpelled } from "./channel.ts";
import type { ColumnMatch } from "./columnMatch.ts";

/** What the first rows of a column hold. */
export type ColumnKind = "number" | "clock" | "instant" | "date" | "flag" | "text" | "blank";
export type ColumnGlimpse = Readonly<{
  name: string;
  kind: ColumnKind;
  numbers: readonly number[];
  /** The first cell that is not blank, as written. */
  firstCell?: string;
  /** The unit that stands behind its numbers. */
  cellUnit?: string;
  /** Where all its clocks have two parts: which they are, or `open` where that is for the tester to say. */
  shortClock?: "m:s" | "h:m" | "open";
  /** The orders in which all its dates can be read: more than one is for the tester to say. */
  dateOrders?: readonly string[];
}>;

type Guess = Readonly<{ channel: KnownChannel; unit: string; weight: number }>;

/** Trade words that tell a channel. The first that fits wins; the unit must fit as well, where one is written. */
const tradeWords: readonly (readonly [KnownChannel, RegExp])[] = [
  ["throttle", /throttl|drossel/i],
  ["ambient", /ambient|\broom|intake|inlet|umgebung|raum/i],
  ["supply", /\bvrm?\b|vreg|\bmos|phase temp|power stage|regulator|supply|wandler/i],
  ["fan", /\bfan|\bpump|lüfter|rpm|drehzahl/i],
  ["clock", /clock|freq|takt/i],
  ["power", /power|watt|leistung/i],
  ["voltage", /volt|vcore|spannung/i],
  ["current", /current|ampere|\bamps?\b|strom/i],
  ["load", /load|usage|utili[sz]ation|auslastung/i],
  ["temperature", /temp|hot ?spot|junction|\bdie\b|package/i],
];

/** Channels told by their unit alone, where no word does. */
const unitChannels: Readonly<Record<string, KnownChannel>> = {
  "°C": "temperature",
  "°F": "temperature",
  W: "power",
  mW: "power",
  kW: "power",
  V: "voltage",
  mV: "voltage",
  A: "current",
  mA: "current",
  MHz: "clock",
  GHz: "clock",
  rpm: "fan",
};

const timeWords = /time|date|zeit|uhr|elapsed|stamp|^t$|^t[ _[(]|seconds|sekunden|^sec/i;

/** Whether a column is called as times are. */
export const isTimeName = (name: string): boolean => timeWords.test(name.trim());

const counterWords = /^#$|^(no|nr|n)\.?$|index|sample|^row|count/i;

/** The unit written at the end of a header cell: in brackets, or as its last word. */
export const unitWritten = (name: string): string | undefined => unitInBrackets(name) ?? unitAtEnd(name);

function unitInBrackets(name: string): string | undefined {
  const bracketed = /[[({]\s*([^\])}]+?)\s*[\])}]\s*$/.exec(name)?.[1];
  return bracketed === undefined ? undefined : unitSpelled(bracketed);
}

function unitAtEnd(name: string): string | undefined {
  if (/°\s*c$/i.test(name)) return "°C";
  if (/°\s*f$/i.test(name)) return "°F";
  if (/%$/.test(name)) return "%";
  if (/[\s_,:-][1ru]\/min$/i.test(name)) return "rpm";
  const last = /[\s_/,:-]([^\s_/,:-]+)$/.exec(name.trim())?.[1];
  return last === undefined || /^(clock|iso|count|days?|date|[ymd]{3})$/i.test(last)
    ? undefined
    : unitSpelled(last);
}

/** How much a column looks like the chip's own reading rather than a neighbour's. */
function weightOf(name: string): number {
  let weight = 0;
  if (/package|\bdie\b|hot ?spot|junction/i.test(name)) weight += 4;
  if (/\b(cpu|gpu|chip|core|cores)\b/i.test(name)) weight += 2;
  if (/\bmax\b|\bload\b|average|effective/i.test(name)) weight += 1;
  if (/distance|limit|disk|drive|ssd|water|coolant|liquid|case|chassis|memory|dimm/i.test(name)) weight -= 4;
  return weight;
}

/** A clock of another part of the machine, or a bound that is no reading. */
const otherClock = /mem|dram|\bbus\b|bclk|fabric|uncore|\bring\b|cache|\bsoc\b|video|limit|target|request/i;

/** What of a board's supply is no temperature; a power stage has one. */
const electric = /current|amp|volt|watt|power(?! stage)|strom|spannung|leistung/i;

function guessOf({ name, kind, cellUnit }: ColumnGlimpse): Guess | undefined {
  if (kind !== "number" && kind !== "flag") return undefined;
  const unit = unitWritten(name) ?? (cellUnit === undefined ? undefined : unitSpelled(cellUnit));
  for (const [channel, words] of tradeWords) {
    if (!words.test(name) || (kind === "flag" && channel !== "throttle")) continue;
    if (channel === "clock" && otherClock.test(name)) return undefined;
    if (channel === "supply" && unit === undefined && electric.test(name)) continue;
    const spelled = channel === "throttle" ? "" : (unit ?? "");
    if (conversionOf(channel, spelled) !== undefined)
      return { channel, unit: spelled, weight: weightOf(name) };
  }
  const channel = unit === undefined ? undefined : unitChannels[unit];
  return channel === undefined || unit === undefined || (channel === "clock" && otherClock.test(name))
    ? undefined
    : { channel, unit, weight: weightOf(name) - 1 };
}

/** A volt or a clock written without a unit is told by its size: no chip takes 30 V or runs at 50 MHz under load. */
function unitBySize(guess: Guess, numbers: readonly number[]): string {
  if (guess.unit !== "" || numbers.length === 0) return guess.unit;
  const largest = numbers.reduce((most, value) => Math.max(most, Math.abs(value)), 0);
  if (guess.channel === "voltage") return largest < 30 ? "V" : "mV";
  if (guess.channel === "clock") return largest < 20 ? "GHz" : "MHz";
  return guess.unit;
}

function timeUnit({ name, kind, numbers, dateOrders = [], cellUnit, shortClock }: ColumnGlimpse): string {
  if (kind === "instant") return "iso";
  if (kind === "date") return dateOrders.length === 1 ? (dateOrders[0] as string) : "date";
  if (kind === "clock") return shortClock === "m:s" ? "m:s" : "clock";
  if (counterWords.test(name.trim())) return "count";
  const unit = unitWritten(name) ?? (cellUnit === undefined ? undefined : unitSpelled(cellUnit));
  if (unit !== undefined && conversionOf("time", unit) !== undefined) return unit;
  if (areDays(numbers)) return "day";
  const first = Math.abs(numbers[0] ?? 0);
  return first > 1e17 ? "ns" : first > 1e14 ? "µs" : first > 1e11 ? "ms" : "s";
}

/** Spreadsheets count days from the end of 1899: numbers of five digits whose steps are parts of a day. */
function areDays(numbers: readonly number[]): boolean {
  const [first = 0, last = 0] = [numbers[0], numbers.at(-1)];
  const isRecent = first > 29_000 && first < 80_000;
  return (
    isRecent &&
    last > first &&
    last - first < 0.02 * numbers.length &&
    numbers.some((one) => !Number.isInteger(one))
  );
}

/** Where the time is: a date and time before a clock time before seconds before a counter; undefined where none looks like one. */
function timePlace(columns: readonly ColumnGlimpse[]): number | undefined {
  const ranks = columns.map(({ name, kind }): number => {
    const named = isTimeName(name);
    if (kind === "instant" || kind === "date") return named ? 6 : 4;
    if (kind === "clock") return named ? 5 : 3;
    if (kind !== "number") return 0;
    return named ? 2.5 : counterWords.test(name.trim()) ? 1 : 0;
  });
  const best = Math.max(...ranks);
  return best > 0 ? ranks.indexOf(best) : undefined;
}

/** A match for every column that holds readings: known channels once each, to the likeliest column; the rest under their own names. */
export function columnsProposed(columns: readonly ColumnGlimpse[]): readonly ColumnMatch[] {
  const timeAt = timePlace(columns);
  const guesses = columns.map((column, at) => (at === timeAt ? undefined : guessOf(column)));
  const taken = new Set<string>();
  return columns.flatMap((column, at): ColumnMatch[] => {
    const isTwice = columns.filter((other) => other.name === column.name).length > 1;
    const place = isTwice || column.name === "" ? at + 1 : column.name;
    if (at === timeAt) {
      const unit = timeUnit(column);
      return [{ column: place, channel: "time", unit, everyS: unit === "count" ? 1 : null }];
    }
    if (column.kind !== "number" && guesses[at] === undefined) return [];
    const guess = guesses[at];
    const first = guess !== undefined && at === likeliest(guesses, guess.channel);
    const channel = first ? guess.channel : ownName(column.name, at, taken);
    taken.add(channel);
    const unit = first
      ? unitBySize(guess, column.numbers)
      : (unitWritten(column.name) ?? unitSpelled(column.cellUnit ?? "") ?? "");
    return [{ column: place, channel, unit, everyS: null }];
  });
}

function likeliest(guesses: readonly (Guess | undefined)[], channel: KnownChannel): number {
  let best = -1;
  guesses.forEach((guess, at) => {
    if (guess?.channel !== channel) return;
    if (best < 0 || guess.weight > (guesses[best]?.weight ?? 0)) best = at;
  });
  return best;
}

/** A name no other column of this log has, and none that means a known channel. */
function ownName(name: string, at: number, taken: ReadonlySet<string>): string {
  const bare = name.trim().slice(0, 70) || `column ${at + 1}`;
  const reserved =
    taken.has(bare) ||
    /^(time|temperature|supply|ambient|power|voltage|current|clock|fan|load|throttle)$/.test(bare);
  return reserved ? `${bare} (${at + 1})` : bare;
}
