import type { KnobGroup } from "../order/knobs.ts";
import { readLimitC } from "../things/chip.ts";
import { type AtVoltage, type Cell, type CrashTerms, hottestAt, isOfItsStart } from "./cells.ts";
import { type AnyTrial, hottestC } from "./evidence.ts";

/**
 * A pass is contested by a crash at the same or a lower clock, at its voltage or a higher one, with every knob as hard or
 * easier. A crash at a higher voltage does not count where it ran within the warning margin of the limit: heat may have
 * been its cause. Each group is swept by itself, from the highest voltage down, then those that compare are put together.
 * Marks every cell with the lowest clock that contests there; gives the crashes that heat excuses.
 */
export function contestedFrom(ascending: readonly AtVoltage[], terms: CrashTerms): AnyTrial[] {
  const warmC = readLimitC(terms.chip) - terms.chip.warnMarginC;
  const hottest = ascending.map(hottestAt);
  const excused: AnyTrial[] = [];
  const isExcused = (trial: AnyTrial, level: number): boolean => {
    const isWarm = (hottestC(trial.row) ?? hottest[level] ?? Number.NEGATIVE_INFINITY) >= warmC;
    if (isWarm) excused.push(trial);
    return isWarm;
  };
  const columns = columnsOf(ascending);
  const sweeps = columns.map(({ cells }) => sweep(cells, terms, isExcused));
  const failing = columns.flatMap(({ group }, i) =>
    fails(sweeps[i]!) ? [{ group, lowest: sweeps[i]! }] : [],
  );
  columns.forEach(({ group, cells }, i) => {
    const lowest = sweeps[i]!.slice();
    for (const other of failing)
      if (isLower(other.lowest, lowest) && terms.order.isAsHard(group, other.group))
        lower(lowest, other.lowest);
    for (let level = 0; level < cells.length; level++) {
      const cell = cells[level];
      if (cell !== undefined) cell.contestingMhz = lowest[level]!;
    }
  });
  return excused;
}

/** One group at every voltage, the lowest first; a hole where it was not tried. */
type Column = Readonly<{ group: KnobGroup; cells: (Cell | undefined)[] }>;

function columnsOf(ascending: readonly AtVoltage[]): readonly Column[] {
  const columns = new Map<KnobGroup, Column>();
  ascending.forEach(({ each }, level) => {
    for (const cell of each) {
      const { group } = cell;
      const column = columns.get(group);
      if (column !== undefined) column.cells[level] = cell;
      else {
        const cells = new Array<Cell | undefined>(ascending.length).fill(undefined);
        cells[level] = cell;
        columns.set(group, { group, cells });
      }
    }
  });
  return [...columns.values()];
}

/** Whether any crash of a group contests something. */
const fails = (lowest: Float64Array): boolean => lowest.some((mhz) => mhz < Number.POSITIVE_INFINITY);

/** Asked before the knobs are compared: most groups would contest nothing that is not contested already. */
function isLower(one: Float64Array, than: Float64Array): boolean {
  for (let level = 0; level < one.length; level++) if (one[level]! < than[level]!) return true;
  return false;
}

function lower(lowest: Float64Array, other: Float64Array): void {
  for (let level = 0; level < lowest.length; level++)
    if ((other[level] as number) < (lowest[level] as number)) lowest[level] = other[level] as number;
}

/** For each voltage the lowest clock of a group whose crash there, or cool at a higher one, contests. */
function sweep(
  cells: Column["cells"],
  terms: CrashTerms,
  isExcused: (trial: AnyTrial, level: number) => boolean,
): Float64Array {
  const lowest = new Float64Array(cells.length);
  let fromAbove = Number.POSITIVE_INFINITY;
  for (let level = cells.length - 1; level >= 0; level--) {
    lowest[level] = fromAbove;
    for (const trial of cells[level]?.crashed ?? []) {
      const clockMhz = trial.clockMhz as number;
      if (isOfItsStart(trial, terms)) continue;
      lowest[level] = Math.min(lowest[level] as number, clockMhz);
      if (!isExcused(trial, level)) fromAbove = Math.min(fromAbove, clockMhz);
    }
  }
  return lowest;
}
