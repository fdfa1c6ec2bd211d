import { type AttemptFile, cellsIn } from "./attemptFile.ts";
import { type AttemptMapping, outcomeWordsOf, wordsIn } from "./attemptMapping.ts";

/** What a page shows of a file of attempts, however long that is. */
export type AttemptFileGlimpse = Readonly<{
  lines: number;
  separator: string;
  columns: readonly Readonly<{ name: string; samples: readonly string[] }>[];
  /** Words for outcomes that the tester settles, and names of workloads. */
  outcomeWords: readonly string[];
  workloadWords: readonly string[];
  /** Whether any line names no workload. */
  workloadsUnnamed: boolean;
}>;

const samplesShown = 3;

export const attemptFileGlimpse = (file: AttemptFile, mapping: AttemptMapping): AttemptFileGlimpse => ({
  lines: file.lines,
  separator: file.shape.separator,
  columns: mapping.meanings.map((_, at) => ({
    name: file.shape.names[at] ?? "",
    samples: firstDifferent(cellsIn(file, at), samplesShown),
  })),
  outcomeWords: outcomeWordsOf(file, mapping),
  workloadWords: wordsIn(file, mapping, "workload"),
  workloadsUnnamed: hasUnnamed(file, mapping),
});

function firstDifferent(cells: Iterable<string>, most: number): string[] {
  const found = new Set<string>();
  for (const cell of cells) {
    found.add(cell.trim());
    if (found.size >= most) break;
  }
  return [...found];
}

function hasUnnamed({ records }: AttemptFile, { meanings }: AttemptMapping): boolean {
  const at = meanings.findIndex((meaning) => meaning?.field === "workload");
  if (at < 0) return true;
  for (const { cells } of records) if ((cells[at] ?? "").trim() === "") return true;
  return false;
}

/** The cells of the lines wanted, by their numbers. */
export function cellsOfLines(
  { records }: AttemptFile,
  wanted: ReadonlySet<number>,
): ReadonlyMap<number, readonly string[]> {
  const cells = new Map<number, readonly string[]>();
  for (const record of records) if (wanted.has(record.line)) cells.set(record.line, record.cells);
  return cells;
}
