import type { TableBlock } from "../bench/writeUp/block.ts";
import { csvLine, guarded } from "./csvLine.ts";

/** A table of the account as CSV, UTF-8 with a byte order mark so that spreadsheets read its signs. */
export const tableCsv = ({ columns, rows }: TableBlock): string => {
  const heads = columns.map(({ words, unit }) => (unit === null ? words : `${words} (${unit})`));
  return `\ufeff${[heads, ...rows].map((cells) => csvLine(cells.map(wordCell))).join("")}`;
};

/** Figures stay figures, with the sign that spreadsheets read. */
const wordCell = (value: string): string => {
  const plain = value.replace(/^−(?=\d)/, "-");
  return /^[+-]?\d+(\.\d+)?$/.test(plain) ? plain : guarded(plain);
};

/** Columns of numbers under their heads as CSV; a cell stays empty where nothing was read. */
export function columnsCsv(heads: readonly string[], columns: readonly Float64Array[]): string {
  const rows = Array.from({ length: columns[0]?.length ?? 0 }, (_, row) =>
    csvLine(columns.map((values) => numberCell(values[row]))),
  );
  return `\ufeff${csvLine(heads.map(guarded))}${rows.join("")}`;
}

const numberCell = (value: number | undefined): string =>
  value === undefined || Number.isNaN(value) ? "" : String(value);
