import type { Outcome } from "../../server/bench/things/outcome.ts";
import { runAttempt } from "../../server/demo/simulatedAttempt.ts";
import { allCoreLoad, inRoom } from "../../server/demo/simulatedBench.ts";
import { type SeededRandom, seededRandom } from "../../server/numerics/seededRandom.ts";
import { acceptableClockMhz, drawnBench } from "./drawnBench.ts";

/** What a good line of the file says, in the journal's own units; temperatures to the tenth of °F they were written in. */
type BenchDayLine = Readonly<{
  /** Counted from 1, the header. */
  line: number;
  startedAt: string;
  clockMhz: number;
  voltageMv: number;
  outcome: Outcome;
  durationS: number;
  loadTempC: number | null;
  ambientC: number | null;
  note: string;
}>;

export type BenchDay = Readonly<{
  csv: string;
  good: readonly BenchDayLine[];
  bad: readonly Readonly<{ line: number; field: string }>[];
}>;

export type BenchDayStyle = Readonly<{ seed?: number; attempts?: number; decimalComma?: boolean }>;

const header = [
  "Result",
  "Load °F",
  "Clock (GHz)",
  "Remarks",
  "Vcore (V)",
  "Time (min)",
  "Room °F",
  "Date",
  "Start",
  "Stress test",
];

/** As testers put it; each is one of the outcomes and nothing else. */
const spelled: Readonly<Partial<Record<Outcome, string>>> = {
  pass: "OK",
  "no-start": "no POST",
  "fell-back": "back to defaults",
  freeze: "hung",
  restart: "reboot",
  "system-error": "Blue screen",
  "app-closed": "app crash",
  "wrong-result": "wrong result",
  "too-hot": "overheated",
};

const remarks = [
  "",
  "",
  "",
  'fan on "quiet", door shut',
  "second try, same result",
  "new paste; warmer?",
  "",
];

/** A day in a tester's spreadsheet: odd order, other units, quoted remarks, and lines that no attempt can be made of. */
export function benchDay({ seed = 1, attempts = 40, decimalComma = false }: BenchDayStyle = {}): BenchDay {
  const random = seededRandom(seed);
  const separator = decimalComma ? ";" : ",";
  const written = (value: number, digits: number) => {
    const text = value.toFixed(digits);
    return decimalComma ? text.replace(".", ",") : text;
  };
  const lines: string[] = [header.join(separator)];
  const good: BenchDayLine[] = [];
  const bad: { line: number; field: string }[] = [];
  const add = (cells: readonly string[]) => {
    lines.push(cells.map((cell) => quoted(cell, separator)).join(separator));
    return lines.length;
  };
  for (const told of toldLines(random, attempts)) {
    const cells = cellsOf(told, written);
    good.push({ line: add(cells), ...told });
    if (good.length % 9 === 4) {
      const { field, spoilt } = spoiltOf(cells, bad.length);
      bad.push({ line: add(spoilt), field });
    }
    if (good.length === 12) lines.push(separator.repeat(header.length - 1));
  }
  return { csv: `\ufeff${lines.join("\r\n")}\r\n`, good, bad };
}

type Told = Omit<BenchDayLine, "line">;

function toldLines(random: SeededRandom, attempts: number): readonly Told[] {
  const bench = inRoom(drawnBench(random), { ambientC: 22 });
  const dayMs = Date.UTC(2021, 3, 17, 8);
  return Array.from({ length: attempts }, (_, index) => {
    const voltageMv = 1150 + 12.5 * (index % 9);
    const clockMhz = Math.round((acceptableClockMhz(bench, voltageMv) - 60) / 25 + random.index(7)) * 25;
    const minutes = 5 * (1 + random.index(3));
    const run = runAttempt(bench, { clockMhz, voltageMv }, allCoreLoad, minutes * 60, random);
    return {
      startedAt: new Date(dayMs + index * 17 * 60_000).toISOString(),
      clockMhz,
      voltageMv,
      outcome: run.outcome,
      // Minutes to the tenth are what the spreadsheet keeps.
      durationS: Math.round(run.durationS / 6) * 6,
      loadTempC: run.outcome === "pass" ? toTenthF(run.loadTempC) : null,
      ambientC: random.uniform() < 0.8 ? toTenthF(run.ambientC) : null,
      note: remarks[random.index(remarks.length)] ?? "",
    };
  });
}

const fahrenheit = (celsius: number): number => Math.round((celsius * 1.8 + 32) * 10) / 10;
const toTenthF = (celsius: number | null): number | null =>
  celsius === null ? null : (fahrenheit(celsius) - 32) / 1.8;

function cellsOf(told: Told, written: (value: number, digits: number) => string): readonly string[] {
  const temperature = (celsius: number | null) => (celsius === null ? "" : written(fahrenheit(celsius), 1));
  return [
    spelled[told.outcome] ?? told.outcome,
    temperature(told.loadTempC),
    written(told.clockMhz / 1000, 3),
    told.note,
    written(told.voltageMv / 1000, 4),
    written(told.durationS / 60, 1),
    temperature(told.ambientC),
    told.startedAt.slice(0, 10),
    told.startedAt.slice(11, 16),
    "all cores",
  ];
}

/** Ways to spoil a line, one after the other: each leaves one field that cannot be read or is out of all reason. */
const spoilers: readonly Readonly<{ field: string; column: number; cell: string }>[] = [
  { field: "clockMhz", column: 2, cell: "4.6O" },
  { field: "voltageMv", column: 4, cell: "" },
  { field: "outcome", column: 0, cell: "funny noise" },
  { field: "voltageMv", column: 4, cell: "12" },
  { field: "durationS", column: 5, cell: "a while" },
];

function spoiltOf(cells: readonly string[], count: number) {
  const spoiler = spoilers[count % spoilers.length];
  if (spoiler === undefined) throw new Error("There is no way to spoil a line.");
  return { field: spoiler.field, spoilt: cells.with(spoiler.column, spoiler.cell) };
}

const quoted = (cell: string, separator: string): string =>
  cell.includes(separator) || cell.includes('"') ? `"${cell.replaceAll('"', '""')}"` : cell;
