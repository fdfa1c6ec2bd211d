import type { TableBlock } from "../bench/writeUp/block.ts";
import { csvLine, guarded } from "./csvLine.ts";

/** A table of the account as CSV, UTF-8 with a byte order mark so that spreadsheets read its signs. */
export const tableCsv = ({ columns, rows }: TableBlock): string => {
  const heads = columns.map(({ words, unit }) => (unit === null ? words : `${words} (${unit})`));
  return `\ufeff${[heads, ...rows].map((cells) => csvLine(cells.map(cell))).join("")}`;
};

/** Figures stay figures, with the sign that spreadsheets read. */
const cell = (value: string): string => {
  const plain = value.replace(/^−(?=\d)/, "-");
  return /^[+-]?\d+(\.\d+)?$/.test(plain) ? plain : guarded(plain);
};
