import type { ColumnMatch } from "../../server/bench/logs/columnMatch.ts";
import { type LogLimits, usualLogLimits } from "../../server/bench/logs/logLimits.ts";
import { Refusal } from "../../server/bench/things/refusal.ts";
import { type LogShape, separatorWords, type TableTold } from "../../server/csv/logShape.ts";
import type { Remark } from "../../server/csv/rowChunk.ts";
import { openSensorLog, type SensorLog } from "../../server/csv/sensorLog.ts";
import { shortPrint } from "./shortPrint.ts";

export type Wanted = Readonly<{
  /** What is said of the columns, where it is not what is suggested. */
  matches?: readonly ColumnMatch[];
  limits?: Partial<LogLimits>;
  table?: TableTold;
  pieceBytes?: number;
}>;

async function* piecesOf(bytes: Buffer, size: number): AsyncGenerator<Buffer> {
  for (let at = 0; at < bytes.length; at += size) yield Buffer.from(bytes.subarray(at, at + size));
}

/** All that is read of a log, or with which words it is refused, in a few lines. */
export async function toldLog(log: string | Buffer, wanted: Wanted = {}): Promise<string> {
  const lines: string[] = [];
  try {
    const bytes = typeof log === "string" ? Buffer.from(log) : log;
    const limits = { ...usualLogLimits, ...wanted.limits };
    const seen: string[] = [];
    const opened = await openSensorLog(piecesOf(bytes, wanted.pieceBytes ?? 65_536), {
      limits,
      table: wanted.table,
      onProgress: ({ bytes, rows }) => seen.push(`${rows} rows in ${bytes}`),
    });
    lines.push(shapeTold(opened.shape));
    const matches = wanted.matches ?? opened.suggested;
    if (opened.proposal.length === 0 && opened.suggested.length > 0) lines.push("  to be looked over first");
    lines.push(`  ${few(matches.map(matchTold)).join("; ") || "no column proposed"}`);
    lines.push(...(await rowsTold(opened, matches)), ...(seen.length > 1 ? [`  ${seen.join(", ")}`] : []));
  } catch (error) {
    lines.push(refusalTold(error));
  }
  return lines.join("\n");
}

export function refusalTold(error: unknown): string {
  if (!(error instanceof Refusal)) throw error;
  const fields = Object.entries(error.fields ?? {}).filter(([, words]) => words !== error.message);
  const beside = Object.keys(error.fields ?? {}).join(" ");
  return [
    `  ${error.code}${beside && `, beside ${beside}`}: ${error.message}`,
    ...fields.map(([at, words]) => `    ${at}: ${words}`),
  ].join("\n");
}

const shapeTold = ({ separator, decimal, headerAt, columns }: LogShape): string => {
  const kinds = columns.map(({ kind, shortClock, dateOrders, cellUnit, numbers }) =>
    [kind, shortClock, dateOrders?.join("/"), cellUnit, kind === "number" && numbers.length]
      .filter(Boolean)
      .join(" "),
  );
  return `  ${separatorWords[separator]} and "${decimal}", header on ${headerAt}: ${runs(kinds).join(", ")}`;
};

/** Of many alike in a row how many there are. */
function runs(words: readonly string[]): readonly string[] {
  const found: [word: string, count: number][] = [];
  for (const word of words) {
    const last = found.at(-1);
    if (last?.[0] === word) last[1] += 1;
    else found.push([word, 1]);
  }
  return found.map(([word, count]) => (count === 1 ? word : `${count} x ${word}`));
}

/** Of very many the first and the last, with how many lie between. */
const few = (words: readonly string[]): readonly string[] =>
  words.length <= 12 ? words : [...words.slice(0, 4), `(${words.length - 6})`, ...words.slice(-2)];

const matchTold = ({ column, channel, unit, everyS }: ColumnMatch): string =>
  `${column === channel ? "" : `${column}=`}${channel}${unit && ` ${unit}`}${everyS === null ? "" : ` every ${everyS} s`}`;

const figure = (value: number | undefined): string => (Number.isNaN(value) ? "-" : String(value));

async function rowsTold(opened: SensorLog, matches: readonly ColumnMatch[]): Promise<readonly string[]> {
  const rows: string[] = [];
  let decimals = "";
  for await (const chunk of opened.rows(matches)) {
    for (let row = 0; row < chunk.rows; row += 1)
      rows.push(few([chunk.t[row], ...chunk.columns.map((column) => column[row])].map(figure)).join(" "));
    decimals = runs([...chunk.decimals].map(String)).join(" ");
  }
  const { skipped, adjusted, startedAtSeconds, startedAtLocal } = opened.remarks();
  const began =
    startedAtSeconds === undefined ? startedAtLocal : new Date(startedAtSeconds * 1000).toISOString();
  return [
    `  ${rows.length} rows, decimals ${decimals}: ${manyTold(rows)}`,
    ...(began === undefined ? [] : [`  began ${began}`]),
    ...remarksTold("left out", skipped),
    ...remarksTold("moved", adjusted),
  ];
}

/** A few as they stand, of more the first and the last with a print of all. */
function manyTold(rows: readonly string[]): string {
  if (rows.length <= 4) return rows.join(" | ");
  return `${rows[0]} | ${rows[1]} | ... ${rows.at(-1)}, ${printOf(rows)}`;
}

export const printOf = (rows: readonly string[]): string => shortPrint(8, rows.join("\n"));

const remarksTold = (what: string, remarks: readonly Remark[]): readonly string[] =>
  remarks.length === 0
    ? []
    : [`  ${what}: ${manyTold(remarks.map(({ line, because }) => `${line} ${because}`))}`];
