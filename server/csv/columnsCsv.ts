import { csvLine, guarded } from "./csvLine.ts";

/** Columns of numbers under their heads as CSV; a cell stays empty where nothing was read. */
export function columnsCsv(heads: readonly string[], columns: readonly Float64Array[]): string {
  const rows = Array.from({ length: columns[0]?.length ?? 0 }, (_, row) =>
    csvLine(columns.map((values) => cell(values[row]))),
  );
  return `\ufeff${csvLine(heads.map(guarded))}${rows.join("")}`;
}

const cell = (value: number | undefined): string =>
  value === undefined || Number.isNaN(value) ? "" : String(value);
