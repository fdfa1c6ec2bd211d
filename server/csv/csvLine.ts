/** One line of a CSV file by RFC 4180: commas, CRLF, quotes where they are needed. Blanks at the ends of a cell would be taken for padding, so they stand in quotes too. */
export const csvLine = (cells: readonly string[]): string => `${cells.map(quoted).join(",")}\r\n`;

const quoted = (cell: string): string =>
  /[",\r\n]|^\s|\s$/.test(cell) ? `"${cell.replaceAll('"', '""')}"` : cell;

const formulaStart = /^[=+\-@\t\r']/;

/**
 * A text that a spreadsheet could take for a formula is written with an apostrophe before it, and one that begins with
 * an apostrophe likewise, so that reading takes away exactly what writing put there.
 */
export const guarded = (text: string): string => (formulaStart.test(text) ? `'${text}` : text);
export const unguarded = (text: string): string =>
  text.startsWith("'") && formulaStart.test(text.slice(1)) ? text.slice(1) : text;
