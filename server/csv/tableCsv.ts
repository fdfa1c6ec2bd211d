import type { Table } from "../bench/writeUp/block.ts";

/** A table of the account as RFC 4180, UTF-8 with a byte order mark so that spreadsheets read its signs. */
export const tableCsv = ({ columns, rows }: Table): string => {
  const heads = columns.map(({ words, unit }) => (unit === null ? words : `${words} (${unit})`));
  return `\ufeff${[heads, ...rows].map((cells) => cells.map(cell).join(",")).join("\r\n")}\r\n`;
};

/** A cell that a spreadsheet would take for a formula gets an apostrophe; plain figures do not. */
const cell = (value: string): string => {
  const plain = value.replace(/^−(?=\d)/, "-");
  const safe = /^[=+\-@\t\r]/.test(plain) && !/^[+-]?\d+(\.\d+)?$/.test(plain) ? `'${plain}` : plain;
  return /[",\r\n]/.test(safe) ? `"${safe.replace(/"/g, '""')}"` : safe;
};
