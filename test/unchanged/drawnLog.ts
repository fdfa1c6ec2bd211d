import type { SeededRandom } from "../../server/numerics/seededRandom.ts";
import { oneOf } from "./chosen.ts";

/** A rough log, and in a few words what was drawn for it. */
export type DrawnLog = Readonly<{ of: string; bytes: Buffer }>;

const two = (value: number): string => String(Math.floor(value)).padStart(2, "0");
const clockAt = (s: number, colon = ":"): string =>
  [(s / 3600) % 24, (s / 60) % 60, s % 60].map(two).join(colon);
const isoAt = (s: number): string => new Date(Date.UTC(2031, 4, 4) + s * 1000).toISOString();
const months = "Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec".split(" ");

type Time = Readonly<{ head: string; at: (s: number) => string }>;

const dayAt = (s: number) => {
  const at = new Date(Date.UTC(2031, 4, 4) + s * 1000);
  return { d: at.getUTCDate(), m: at.getUTCMonth() + 1, y: at.getUTCFullYear() };
};

/** How recorders write the time of a row, from seconds since a midnight. */
const times: Readonly<Record<string, Time>> = {
  instant: { head: "Time", at: (s) => isoAt(s).replace(".000", "") },
  "local instant": { head: "Date/time", at: (s) => isoAt(s).slice(0, 19).replace("T", " ") },
  "instant with an offset": { head: "timestamp", at: (s) => `${isoAt(s).slice(0, 19)}+02:00` },
  "short instant": { head: "Stamp", at: (s) => isoAt(s).replaceAll(/[-:]|\.000/g, "") },
  "day first": {
    head: "Datum",
    at: (s) => `${two(dayAt(s).d)}.${two(dayAt(s).m)}.${dayAt(s).y} ${clockAt(s)}`,
  },
  "month first": { head: "Date", at: (s) => `${dayAt(s).m}/${dayAt(s).d}/${dayAt(s).y} ${clockAt(s)}` },
  "month first and settled": {
    head: "Date",
    at: (s) => `${dayAt(s).m}/${dayAt(s).d + 20}/${dayAt(s).y} ${clockAt(s)}`,
  },
  "month named": {
    head: "When",
    at: (s) => `${dayAt(s).d} ${months[dayAt(s).m - 1]} ${dayAt(s).y} ${clockAt(s)} UTC`,
  },
  clock: { head: "Time", at: (s) => clockAt(s) },
  "clock of twelve": {
    head: "time",
    at: (s) =>
      `${(Math.floor(s / 3600 + 11) % 12) + 1}:${clockAt(s).slice(3)} ${s % 86_400 < 43_200 ? "AM" : "PM"}`,
  },
  "clock in tenths": { head: "Time", at: (s) => `${clockAt(s)}.${Math.round(10 * (s % 1))}` },
  "minutes and seconds": { head: "Elapsed", at: (s) => `${Math.floor((s % 7200) / 60)}:${two(s % 60)}` },
  "short clock": { head: "Time", at: (s) => clockAt(s).slice(3) },
  seconds: { head: "Time [s]", at: (s) => `${s - 86_390}` },
  "seconds, no unit": { head: "elapsed", at: (s) => (s - 86_390).toFixed(1) },
  milliseconds: { head: "Time (ms)", at: (s) => `${Math.round((s - 86_390) * 1000)}` },
  minutes: { head: "t [min]", at: (s) => ((s - 86_390) / 60).toFixed(4) },
  "since 1970": { head: "timestamp", at: (s) => `${Date.UTC(2031, 4, 4) / 1000 + s}` },
  "since 1970 in ms": { head: "timestamp", at: (s) => `${Date.UTC(2031, 4, 4) + s * 1000}` },
  "days of a spreadsheet": { head: "Time", at: (s) => (47_972 + s / 86_400).toFixed(7) },
  counter: { head: "#", at: (s) => `${Math.round(s - 86_389)}` },
  none: { head: "", at: () => "" },
};

type Reading = Readonly<{ name: string; unit: string; value: (row: number, random: SeededRandom) => number }>;

const wave = (base: number, by: number) => (row: number, random: SeededRandom) =>
  base + by * (row % 7) + by * random.uniform();

const readings: readonly Reading[] = [
  { name: "CPU temp", unit: "°C", value: wave(40, 4) },
  { name: "Package", unit: "°F", value: wave(110, 6) },
  { name: "Core 1 temp", unit: "K", value: wave(320, 3) },
  { name: "Room", unit: "C", value: wave(21, 0.2) },
  { name: "VRM temp", unit: "degC", value: wave(50, 1) },
  { name: "Core clock", unit: "MHz", value: wave(4400, 25) },
  { name: "Effective clock", unit: "GHz", value: wave(4.4, 0.02) },
  { name: "Freq", unit: "kHz", value: wave(4_400_000, 1000) },
  { name: "Memory clock", unit: "MHz", value: wave(3000, 0) },
  { name: "Vcore", unit: "V", value: wave(1.2, 0.004) },
  { name: "Core voltage", unit: "mV", value: wave(1200, 3) },
  { name: "Package power", unit: "W", value: wave(130, 5) },
  { name: "Power", unit: "mW", value: wave(120_000, 500) },
  { name: "Supply current", unit: "A", value: wave(90, 2) },
  { name: "Fan", unit: "rpm", value: wave(1200, 20) },
  { name: "Pump", unit: "U/min", value: wave(2200, 20) },
  { name: "Usage", unit: "%", value: wave(80, 2) },
  { name: "Noise, far", unit: "dB", value: wave(31, 1) },
];

const flagWords = [
  ["Yes", "No"],
  ["1", "0"],
  ["on", "off"],
  ["true", "false"],
  ["ja", "nein"],
] as const;

type Sign = Readonly<{ separator: string; decimal: string }>;
const signs: readonly Sign[] = [
  ...[",", ";", "\t", "|"].map((separator) => ({ separator, decimal: "." })),
  ...[";", "\t"].map((separator) => ({ separator, decimal: "," })),
  { separator: ",", decimal: "." },
  { separator: " ", decimal: "." },
];

const encodings: Readonly<Record<string, (text: string) => Buffer>> = {
  plain: (text) => Buffer.from(text),
  marked: (text) => Buffer.from(`\ufeff${text}`),
  "UTF-16 LE": (text) => Buffer.from(`\ufeff${text}`, "utf16le"),
  "UTF-16 LE unmarked": (text) => Buffer.from(text, "utf16le"),
  "UTF-16 BE": (text) => Buffer.from(`\ufeff${text}`, "utf16le").swap16(),
  "UTF-16 BE unmarked": (text) => Buffer.from(text, "utf16le").swap16(),
  "Latin 1": (text) => Buffer.from(text, "latin1"),
};

const above: Readonly<Record<string, readonly string[]>> = {
  "a title": ["Recorded on the bench"],
  remarks: ["# chip: Tern 8", "# interval 1 s", "#"],
  "words and values": ["Recorder,2.1", "Interval,1", ""],
  "a line of groups": [",Chip,,Board"],
};

const oddCells = ["", "-", "n/a", "--", "NaN", "-127", "1.2.3", "0", "85.5 °C", " 41 ", '"44"'];

/** Each choice by itself; most logs have one or two things that are rough. */
export function drawnLog(random: SeededRandom): DrawnLog {
  const chance = (share: number): boolean => random.uniform() < share;
  const [timeName, time] = oneOf(random, Object.entries(times));
  const sign = oneOf(random, signs);
  const isUnitRow = chance(0.12);
  const unitStyle = isUnitRow
    ? "row"
    : oneOf(random, ["brackets", "brackets", "round", "end", "none", "cell"]);
  const drawn = [...readings].sort(() => random.uniform() - 0.5).slice(0, 1 + random.index(4));
  if (chance(0.1)) drawn.push(drawn[0] as Reading);
  const flag = chance(0.3) ? oneOf(random, flagWords) : undefined;
  const fraction = oneOf(random, [0, 1, 1, 2, 3]);
  const step = oneOf(random, [1, 1, 1, 0.5, 10]);
  const words = (cell: string): string =>
    cell.includes(sign.separator) && sign.separator !== " "
      ? `"${cell}"`
      : sign.separator === " " && cell !== cell.replaceAll(" ", "_") && !/^\d/.test(cell)
        ? cell.replaceAll(" ", "_")
        : cell || (sign.separator === " " ? "-" : "");
  const headed = drawn.map(({ name, unit }) =>
    unitStyle === "brackets"
      ? `${name} [${unit}]`
      : unitStyle === "round"
        ? `${name} (${unit})`
        : unitStyle === "end"
          ? `${name} ${unit}`
          : name,
  );
  const isTimed = timeName !== "none";
  const row = (at: number): string[] => [
    ...(isTimed ? [time.at(86_390 + at * step).replace(/^(\d+)\.(\d+)$/, `$1${sign.decimal}$2`)] : []),
    ...drawn.map(({ value, unit }) => {
      if (chance(0.03)) return oneOf(random, oddCells);
      const number = value(at, random).toFixed(fraction).replace(".", sign.decimal);
      return unitStyle === "cell" ? `${number} ${unit}` : number;
    }),
    ...(flag === undefined ? [] : [flag[at % 5 === 4 ? 0 : 1]]),
  ];
  const header = [...(isTimed ? [time.head] : []), ...headed, ...(flag === undefined ? [] : ["Throttling"])];
  const units = [
    ...(isTimed ? [""] : []),
    ...drawn.map(({ unit }) => unit),
    ...(flag === undefined ? [] : [""]),
  ];
  const isFramed = sign.separator === "|" && chance(0.5);
  const line = (cells: readonly string[]): string =>
    isFramed ? `| ${cells.join(" | ")} |` : cells.map(words).join(sign.separator);
  const rows = Array.from({ length: 5 + random.index(30) }, (_, at) => line(row(at)));
  const said: string[] = [];
  const maybe = (share: number, name: string, change: () => void): void => {
    if (!chance(share)) return;
    said.push(name);
    change();
  };
  const somewhere = () => random.index(rows.length);
  const headLine = line(header);
  maybe(0.08, "header again", () => rows.splice(somewhere(), 0, headLine));
  maybe(0.08, "a row too short", () => rows.splice(somewhere(), 0, line(row(2).slice(0, -1))));
  maybe(0.08, "a row too long", () => rows.splice(somewhere(), 0, line([...row(2), "7"])));
  maybe(0.06, "blank cells behind", () =>
    rows.splice(0, rows.length, ...rows.map((text) => `${text}${sign.separator}`)),
  );
  maybe(0.06, "rows out of order", () => rows.splice(1, 2, ...rows.slice(1, 3).reverse()));
  maybe(0.06, "started over", () => rows.push(...rows.slice(0, 3)));
  maybe(0.06, "an open quote", () => rows.splice(somewhere(), 0, `"${rows[0]}`));
  maybe(0.06, "a summary behind", () => rows.push("", line(["Mean", "41.5"]), "rows: 12"));
  maybe(0.05, "words between", () => rows.splice(somewhere(), 0, "paused by hand"));
  maybe(0.05, "empty lines", () => rows.splice(somewhere(), 0, "", "  "));
  const lines = [...(isUnitRow ? [headLine, line(units)] : [headLine]), ...rows];
  maybe(0.06, "no header", () => lines.splice(0, isUnitRow ? 2 : 1));
  const over = chance(0.2) ? oneOf(random, Object.entries(above)) : undefined;
  if (over !== undefined) lines.unshift(...over[1]);
  const end = oneOf(random, ["\n", "\n", "\r\n", "\r"]);
  const isTorn = chance(0.1);
  const text = isTorn ? lines.join(end).slice(0, -3) : `${lines.join(end)}${chance(0.2) ? "" : end}`;
  const [encoding, encode] = chance(0.6)
    ? (["plain", encodings.plain] as const)
    : oneOf(random, Object.entries(encodings));
  const bytes = encode?.(text) ?? Buffer.from(text);
  const zeros = chance(0.05) ? 40 : 0;
  return {
    of: [
      ...[timeName, `${JSON.stringify(sign.separator)}${sign.decimal}`, `units ${unitStyle}`, encoding],
      ...[JSON.stringify(end), over?.[0] ?? "", ...said, isTorn ? "torn" : "", zeros > 0 ? "zeros" : ""],
    ]
      .filter((word) => word !== "")
      .join(", "),
    bytes: Buffer.concat([bytes, Buffer.alloc(zeros)]),
  };
}
