import type { KnobGroup } from "../order/knobs.ts";
import { readLimitC } from "../things/chip.ts";
import { type Cell, type CrashTerms, hottestByVoltage, isOfItsStart } from "./cells.ts";
import { type AnyTrial, hottestC } from "./evidence.ts";

/**
 * A pass is contested by a crash at the same or a lower clock, at its voltage or a higher one, with every knob as hard or
 * easier. A crash at a higher voltage does not count where it ran within the warning margin of the limit: heat may have
 * been its cause. Each group is swept by itself, from the highest voltage down, then those that compare are put together.
 * Marks every cell with the lowest clock that contests there; gives the crashes that heat excuses.
 */
export function contestedFrom(
  ascending: readonly ReadonlyMap<KnobGroup, Cell>[],
  terms: CrashTerms,
): AnyTrial[] {
  const warmC = readLimitC(terms.chip) - terms.chip.warnMarginC;
  const hottest = hottestByVoltage(ascending);
  const groups = [...new Set(ascending.flatMap((cells) => [...cells.keys()]))];
  const excused: AnyTrial[] = [];
  const isExcused = (trial: AnyTrial, level: number): boolean => {
    const isWarm = (hottestC(trial.row) ?? hottest[level] ?? Number.NEGATIVE_INFINITY) >= warmC;
    if (isWarm) excused.push(trial);
    return isWarm;
  };
  const sweeps = groups.map((group) => sweep(ascending, group, terms, isExcused));
  const failing = groups.flatMap((group, i) => (fails(sweeps[i]!) ? [{ group, lowest: sweeps[i]! }] : []));
  const cells = ascending.map((byGroup) => groups.map((group) => byGroup.get(group)));
  for (let i = 0; i < groups.length; i++) {
    const group = groups[i]!;
    const lowest = sweeps[i]!.slice();
    for (const other of failing)
      if (other.group !== group && terms.order.isAsHard(group, other.group)) lower(lowest, other.lowest);
    for (let level = 0; level < lowest.length; level++) {
      const cell = cells[level]![i];
      if (cell !== undefined) cell.contestingMhz = lowest[level]!;
    }
  }
  return excused;
}

/** Whether any crash of a group contests something. */
const fails = (lowest: Float64Array): boolean => lowest.some((mhz) => mhz < Number.POSITIVE_INFINITY);

function lower(lowest: Float64Array, other: Float64Array): void {
  for (let level = 0; level < lowest.length; level++)
    if ((other[level] as number) < (lowest[level] as number)) lowest[level] = other[level] as number;
}

/** For each voltage the lowest clock of a group whose crash there, or cool at a higher one, contests. */
function sweep(
  ascending: readonly ReadonlyMap<KnobGroup, Cell>[],
  group: KnobGroup,
  terms: CrashTerms,
  isExcused: (trial: AnyTrial, level: number) => boolean,
): Float64Array {
  const lowest = new Float64Array(ascending.length);
  let fromAbove = Number.POSITIVE_INFINITY;
  for (let level = ascending.length - 1; level >= 0; level--) {
    lowest[level] = fromAbove;
    for (const trial of ascending[level]?.get(group)?.trials ?? []) {
      if (trial.class !== "crash" || trial.clockMhz === null || isOfItsStart(trial, terms)) continue;
      lowest[level] = Math.min(lowest[level] as number, trial.clockMhz);
      if (!isExcused(trial, level)) fromAbove = Math.min(fromAbove, trial.clockMhz);
    }
  }
  return lowest;
}
