import type { TriedRow } from "../things/evidenceRow.ts";
import { isCrash, neverStarted } from "../things/outcome.ts";
import { rowsMemory } from "../things/rowsMemory.ts";

/** What an attempt costs besides its run, in minutes. */
export type BenchCosts = Readonly<{
  setupMinutes: number;
  /** To come back after a crash. */
  crashMinutes: number;
  noStartMinutes: number;
  /** How many minutes of bench time a crash is worth avoiding, besides the time it costs. */
  aversionMinutes: number;
}>;

/** Common practice, until the journal's own gaps between attempts say better. */
export const usualBenchCosts: BenchCosts = {
  setupMinutes: 2,
  crashMinutes: 4,
  noStartMinutes: 6,
  aversionMinutes: 15,
};

/** A gap longer than this is lunch, not the bench. */
const longestGapMinutes = 60;
const enoughGaps = 5;

const known = rowsMemory<BenchCosts>();

/** The costs as the journal's own gaps between attempts show them, each once there are enough; else the usual ones. */
export const benchCostsFrom = (rows: readonly TriedRow[]): BenchCosts =>
  known(rows, null, () => costsOf(rows));

function costsOf(rows: readonly TriedRow[]): BenchCosts {
  const gaps = gapsIn(rows);
  const typical = (after: Gap["after"]): number | null => {
    const minutes = gaps.filter((gap) => gap.after === after).map((gap) => gap.minutes);
    return minutes.length < enoughGaps ? null : medianOf(minutes);
  };
  const setupMinutes = typical("survived") ?? usualBenchCosts.setupMinutes;
  const beyondSetup = (minutes: number | null): number | null =>
    minutes === null ? null : Math.max(0, minutes - setupMinutes);
  return {
    setupMinutes,
    crashMinutes: beyondSetup(typical("crash")) ?? usualBenchCosts.crashMinutes,
    noStartMinutes: beyondSetup(typical("no-start")) ?? usualBenchCosts.noStartMinutes,
    aversionMinutes: usualBenchCosts.aversionMinutes,
  };
}

type Gap = Readonly<{ after: "survived" | "crash" | "no-start"; minutes: number }>;

/** From the end of each attempt to the start of the next. */
function gapsIn(rows: readonly TriedRow[]): Gap[] {
  const ordered = [...rows].sort((a, b) => (a.startedAt < b.startedAt ? -1 : 1));
  return ordered.slice(0, -1).flatMap((row, i) => {
    const next = ordered[i + 1] as TriedRow;
    const minutes = (Date.parse(next.startedAt) - Date.parse(row.startedAt)) / 60_000 - row.durationS / 60;
    const after = neverStarted(row.outcome) ? "no-start" : isCrash(row.outcome) ? "crash" : "survived";
    return minutes <= 0 || minutes > longestGapMinutes ? [] : [{ after, minutes }];
  });
}

const medianOf = (values: readonly number[]): number => {
  const sorted = [...values].sort((a, b) => a - b);
  const middle = sorted.length / 2;
  return ((sorted[Math.floor(middle)] as number) + (sorted[Math.ceil(middle) - 1] as number)) / 2;
};
