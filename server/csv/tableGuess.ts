import { lineCellsOf } from "./lineCells.ts";
import { numberIn } from "./logNumber.ts";
import { type TableSeparator, type TableTold, tableSeparators } from "./logShape.ts";

const fewestLines = 4;

/**
 * Where a table that was not understood most likely begins: at the first of the lines that come apart into as many cells
 * at one sign, the line above them where it does so too. Undefined where fewer than four lines with a number do.
 */
export function tableGuessOf(lines: readonly string[]): TableTold | undefined {
  const guesses = tableSeparators.flatMap((separator) => guessAt(lines, separator) ?? []);
  return guesses.sort((a, b) => b.agreeing - a.agreeing || b.width - a.width)[0]?.told;
}

function guessAt(lines: readonly string[], separator: TableSeparator) {
  const take = lineCellsOf(separator);
  const widths = lines.map((line) => take(line)?.length ?? 0);
  const counts = new Map<number, number>();
  for (const [at, width] of widths.entries())
    if (width >= 2 && /\d/.test(lines[at] ?? "")) counts.set(width, (counts.get(width) ?? 0) + 1);
  const [width, agreeing] = [...counts].sort((a, b) => b[1] - a[1])[0] ?? [0, 0];
  if (agreeing < fewestLines) return undefined;
  const first = widths.indexOf(width);
  const hasNames = (take(lines[first] ?? "") ?? []).every((cell) => Number.isNaN(numberIn(cell, ".")));
  return { told: { separator, headerAt: hasNames ? first + 1 : 0 }, agreeing, width };
}
