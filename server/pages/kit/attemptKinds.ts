import { type KnobValue, knobValueWords } from "../../bench/things/asSet.ts";
import type { AlsoSet } from "../../bench/things/attemptFields.ts";
import type { FieldKind } from "../../bench/things/fieldKinds.ts";
import { offsetWords } from "../../bench/things/setting.ts";
import { formatDuration, formatMilli, formatNumber, unknownMark } from "../../html/format.ts";
import { textTyped } from "./forms.ts";
import {
  clockTyped,
  durationTyped,
  type QuantityTyped,
  quantityTyped,
  temperatureTyped,
  voltageTyped,
} from "./quantityTyped.ts";

/** How one kind of field is read from a form, written into one, and said in a sentence. */
type Kind = Readonly<{
  unit?: string;
  read(typed: string | undefined): unknown;
  write(value: unknown): string;
  words(value: unknown): string;
}>;

const isNone = (value: unknown): boolean => value === null || value === undefined || value === "";
const plain = (value: unknown): string => (isNone(value) ? "" : String(value));

const number = (unit: string, read: (typed: string | undefined) => QuantityTyped): Kind => ({
  ...(unit && { unit }),
  read,
  write: plain,
  words: (value) =>
    isNone(value) ? unknownMark : `${formatNumber(Number(value))}${unit ? `\u00a0${unit}` : ""}`,
});

const voltage: Kind = {
  unit: "V",
  read: voltageTyped,
  write: (value) => (isNone(value) ? "" : formatMilli(Number(value))),
  words: (value) => (isNone(value) ? unknownMark : `${formatMilli(Number(value))}\u00a0V`),
};

/** Written in minutes where that is exact to a tenth, else with its seconds. */
const minutesWritten = (seconds: number): string => {
  if (Number.isInteger(seconds / 6)) return String(seconds / 60);
  const rest = `${Number((seconds % 60).toFixed(3))} s`;
  return seconds < 60 ? rest : `${Math.floor(seconds / 60)} min ${rest}`;
};

const duration: Kind = {
  unit: "min",
  read: durationTyped,
  write: (value) => (isNone(value) ? "" : minutesWritten(Number(value))),
  words: (value) => (isNone(value) ? unknownMark : formatDuration(Number(value))),
};

const text: Kind = { read: textTyped, write: plain, words: (value) => plain(value) || unknownMark };

const yesNo: Kind = {
  read: (typed) => (typed === "yes" ? true : typed === "no" ? false : null),
  write: (value) => (value === true ? "yes" : value === false ? "no" : ""),
  words: (value) => (value === true ? "yes" : value === false ? "no" : unknownMark),
};

/** 2031-05-04 15:42 is taken in UTC; an offset may be written behind it. */
function instantTyped(typed: string | undefined): string | null {
  const trimmed = textTyped(typed);
  if (trimmed === null) return null;
  const match = /^(\d{4}-\d\d-\d\d)[T ](\d\d:\d\d)(:\d\d(?:\.\d+)?)?\s*(Z|UTC|[+-]\d\d:?\d\d)?$/i.exec(
    trimmed,
  );
  if (!match) return trimmed;
  const [, day, minute, second = ":00", zone = "Z"] = match;
  const offset = /^(z|utc)$/i.test(zone) ? "Z" : zone.replace(/^([+-]\d\d):?(\d\d)$/, "$1:$2");
  return `${day}T${minute}${second}${offset}`;
}

const instantWritten = (value: unknown): string =>
  isNone(value)
    ? ""
    : `${String(value)
        .replace("T", " ")
        .replace(/(\.000)?Z$/, "")} UTC`;

const instant: Kind = {
  read: instantTyped,
  write: instantWritten,
  words: (value) => instantWritten(value) || unknownMark,
};

const tagsOf = (typed: string | undefined): string[] =>
  (typed ?? "").split(",").flatMap((tag) => textTyped(tag) ?? []);

const tags: Kind = {
  read: tagsOf,
  write: (value) => ((value as readonly string[] | null) ?? []).join(", "),
  words: (value) => ((value as readonly string[] | null) ?? []).join(", ") || unknownMark,
};

/** One a line: fabric clock = 2000, harder up */
function alsoSetTyped(typed: string | undefined): AlsoSet[] {
  const lines = (typed ?? "").split("\n").flatMap((line) => textTyped(line) ?? []);
  return lines.map((line) => {
    const [, name = line, value = "", harder = "none"] =
      /^([^=]*)=(.*?)(?:,\s*harder\s+(up|down|none))?$/i.exec(line) ?? [];
    const asNumber = quantityTyped(value, { "": 1 });
    return {
      name: name.trim(),
      value: asNumber === null || Number.isNaN(asNumber) ? value.trim() : asNumber,
      harder: harder.toLowerCase() as AlsoSet["harder"],
    };
  });
}

const alsoSetWritten = (value: unknown): string =>
  ((value as readonly AlsoSet[] | null) ?? [])
    .map((one) => `${one.name} = ${one.value}${one.harder === "none" ? "" : `, harder ${one.harder}`}`)
    .join("\n");

const alsoSet: Kind = {
  read: alsoSetTyped,
  write: alsoSetWritten,
  words: (value) => alsoSetWritten(value).replaceAll("\n", "; ") || unknownMark,
};

/** A colon may stand in a name, as in "die 1: core 3 = -20", unless it alone parts the two. */
const lineSaid = (line: string): RegExpExecArray | null =>
  /^([^=]*)=(.*)$/.exec(line) ?? /^([^:]*):(.*)$/.exec(line);

/** One a line: hotspot = 84 */
function namedTyped(typed: string | undefined, readOne: (value: string) => unknown): unknown {
  const lines = (typed ?? "").split(/[\n;]/).flatMap((line) => textTyped(line) ?? []);
  if (lines.length === 0) return null;
  return Object.fromEntries(
    lines.map((line) => {
      const [, called = line, value = ""] = lineSaid(line) ?? [];
      return [called.trim(), readOne(value.trim())];
    }),
  );
}

const namedWritten = (value: unknown): string =>
  Object.entries((value as Readonly<Record<string, KnobValue>> | null) ?? {})
    .map(([called, said]) => `${called} = ${knobValueWords(said)}`)
    .join("\n");

const named = (readOne: (value: string) => unknown): Kind => ({
  read: (typed) => namedTyped(typed, readOne),
  write: namedWritten,
  words: (value) => namedWritten(value).replaceAll("\n", "; ") || unknownMark,
});

const numberAlone = (typed: string | undefined): QuantityTyped =>
  quantityTyped(typed, unitOnly("mv", "mhz", "%"));

/** A number where it is one, else the words of a choice; "auto (1.25)" says what it came to. */
function knobTyped(typed: string): unknown {
  const [, resolved] = /^auto\s*\(?\s*([^)]+?)\s*\)?$/i.exec(typed) ?? [];
  if (resolved !== undefined) return { auto: positionTyped(resolved) };
  return /^auto$/i.test(typed) ? "auto" : positionTyped(typed);
}

function positionTyped(typed: string): number | string {
  const number = quantityTyped(typed, { "": 1 });
  return number === null || Number.isNaN(number) ? typed : number;
}

const starts: Kind = {
  read: (typed) => {
    const trimmed = textTyped(typed);
    if (trimmed === null) return null;
    const [, up, tried] = /^(\d+)\s*(?:of|\/)\s*(\d+)$/i.exec(trimmed) ?? [];
    return up === undefined ? trimmed : { tried: Number(tried), up: Number(up) };
  },
  write: (value) => (isNone(value) ? "" : startsWritten(value as StartsSaid)),
  words: (value) => (isNone(value) ? unknownMark : startsWritten(value as StartsSaid)),
};

type StartsSaid = Readonly<{ tried: number; up: number }>;
const startsWritten = ({ tried, up }: StartsSaid): string => `${up} of ${tried}`;

type ErrorSaid = Readonly<{ atS: number; module?: string | null; bit?: number | null }>;

/** One a line: 12 min, module A2, bit 17; the commas may be left out. */
function errorsTyped(typed: string | undefined): unknown[] {
  const lines = (typed ?? "").split("\n").flatMap((line) => textTyped(line) ?? []);
  return lines.map((line) => {
    const [when = "", ...said] = line.split(/,|\s+(?=(?:module|bit)\s)/i).map((word) => word.trim());
    const after = (start: RegExp) =>
      said
        .find((word) => start.test(word))
        ?.replace(start, "")
        .trim();
    const module = after(/^module\s+/i);
    const bit = after(/^bit\s+/i);
    return {
      atS: durationTyped(when),
      ...(module === undefined ? {} : { module }),
      ...(bit === undefined ? {} : { bit: Number(bit) }),
    };
  });
}

const errorsWritten = (value: unknown): string =>
  ((value as readonly ErrorSaid[] | null) ?? [])
    .map(({ atS, module, bit }) =>
      [
        `${minutesWritten(atS)}${Number.isInteger(atS / 6) ? " min" : ""}`,
        ...(module ? [`module ${module}`] : []),
        ...(bit == null ? [] : [`bit ${bit}`]),
      ].join(", "),
    )
    .join("\n");

const errors: Kind = {
  read: errorsTyped,
  write: errorsWritten,
  words: (value) => errorsWritten(value).replaceAll("\n", "; ") || unknownMark,
};

const offset: Kind = {
  read: numberAlone,
  write: plain,
  words: (value) => (isNone(value) ? unknownMark : offsetWords(Number(value))),
};

const unitOnly = (...units: readonly string[]) => Object.fromEntries(["", ...units].map((unit) => [unit, 1]));

/** The kinds of fields a person fills in by themselves; the rest are asked for in ways of their own. */
export type FormKind = Exclude<FieldKind, "outcome" | "confirmation">;

export const kinds: Readonly<Record<FormKind, Kind>> = {
  clock: number("MHz", clockTyped),
  voltage,
  duration,
  temperature: number("°C", temperatureTyped),
  power: number("W", (typed) => quantityTyped(typed, { "": 1, w: 1, kw: 1000 })),
  current: number("A", (typed) => quantityTyped(typed, unitOnly("a"))),
  fanSpeed: number("rpm", (typed) => quantityTyped(typed, unitOnly("rpm"))),
  number: number("", (typed) => quantityTyped(typed, unitOnly())),
  text,
  choice: text,
  workload: text,
  note: text,
  yesNo,
  instant,
  tags,
  alsoSet,
  offset,
  byPart: named(numberAlone),
  temperatures: named((typed) => temperatureTyped(typed)),
  counts: named((typed) => quantityTyped(typed, { "": 1 })),
  knobs: named(knobTyped),
  starts,
  errors,
};
