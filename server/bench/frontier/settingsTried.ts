import type { KnobGroup, KnobOrder } from "../order/knobs.ts";
import type { TriedRow } from "../things/evidenceRow.ts";
import type { Requirement } from "../things/rule.ts";
import { meetsRule } from "./acceptanceRule.ts";
import { type Cell, type CrashTerms, cellsOf } from "./cells.ts";
import { contestedFrom } from "./contestedFrom.ts";
import type { AnyTrial } from "./evidence.ts";

/** What holds at a voltage: a clock, and how the knobs stood. */
export type HeldAt = Readonly<{ clockMhz: number; group: KnobGroup; passes: readonly TriedRow[] }>;

/** The record of one build arranged by setting, ready to be asked. */
export type SettingsTried = Readonly<{
  trials: readonly AnyTrial[];
  order: KnobOrder;
  /** Every voltage tried, lowest first. */
  voltagesMv: readonly number[];
  /** Every clock the record speaks of, lowest first. */
  clocksMhz: readonly number[];
  /** How the knobs stood, each way once, in the order of the record. */
  groups: readonly KnobGroup[];
  isTried(voltageMv: number, group: KnobGroup): boolean;
  passedAt(voltageMv: number, clockMhz: number): boolean;
  crashedAt(voltageMv: number, clockMhz: number): boolean;
  highestPassedMhz(voltageMv: number, group?: KnobGroup): number | null;
  lowestCrashMhz(voltageMv: number, group?: KnobGroup): number | null;
  /** Passed by the rule and not contested, however the knobs stood. */
  holds(voltageMv: number, clockMhz: number): boolean;
  /** The highest clock that holds; where it holds in several ways, as the latest pass there ran. */
  heldAt(voltageMv: number, group?: KnobGroup): HeldAt | null;
  contestedAt(voltageMv: number): readonly AnyTrial[];
  /** Crashes at higher voltages that were not held against a pass, since heat may have been their cause. */
  excusedByHeat: readonly AnyTrial[];
}>;

export function settingsOf(
  trials: readonly AnyTrial[],
  requires: readonly Requirement[],
  terms: CrashTerms,
): SettingsTried {
  const byVoltage = cellsOf(trials);
  const ascending = [...byVoltage.keys()].sort((a, b) => a - b);
  const excusedByHeat = contestedFrom(
    ascending.map((voltageMv) => byVoltage.get(voltageMv) as Map<KnobGroup, Cell>),
    terms,
  );
  const everyCell = new Map(
    ascending.map((voltageMv) => [voltageMv, [...byVoltage.get(voltageMv)!.values()]]),
  );
  const cellsAt = (voltageMv: number, group?: KnobGroup): readonly Cell[] => {
    if (group === undefined) return everyCell.get(voltageMv) ?? none;
    const cell = byVoltage.get(voltageMv)?.get(group);
    return cell === undefined ? none : [cell];
  };
  const trialsAt = byVoltageOf(trials);
  const holding = new Map<Cell, readonly number[]>();
  const heldIn = (cell: Cell): readonly number[] => {
    const known = holding.get(cell) ?? clocksHeld(cell, requires);
    holding.set(cell, known);
    return known;
  };
  const passed = togetherAt(everyCell, passedIn);
  const crashed = togetherAt(everyCell, crashedIn);
  const held = togetherAt(everyCell, heldIn);
  return {
    trials,
    order: terms.order,
    voltagesMv: ascending,
    ...clocksAndGroups(trials),
    isTried: (voltageMv, group) => byVoltage.get(voltageMv)?.has(group) === true,
    passedAt: (voltageMv, clockMhz) => passed(voltageMv).has(clockMhz),
    crashedAt: (voltageMv, clockMhz) => crashed(voltageMv).has(clockMhz),
    highestPassedMhz: (voltageMv, group) => highestIn(cellsAt(voltageMv, group), passedIn),
    lowestCrashMhz: (voltageMv, group) => lowestIn(cellsAt(voltageMv, group), crashedIn),
    holds: (voltageMv, clockMhz) => held(voltageMv).has(clockMhz),
    heldAt: (voltageMv, group) => highestHeld(cellsAt(voltageMv, group), heldIn),
    contestedAt: (voltageMv) =>
      (trialsAt.get(voltageMv) ?? []).filter(
        ({ class: kind, clockMhz, group }) =>
          kind === "pass" &&
          clockMhz !== null &&
          clockMhz >= (byVoltage.get(voltageMv)?.get(group)?.contestingMhz ?? Number.POSITIVE_INFINITY),
      ),
    excusedByHeat,
  };
}

/** In the order of the record. */
function byVoltageOf(trials: readonly AnyTrial[]): ReadonlyMap<number, readonly AnyTrial[]> {
  const found = new Map<number, AnyTrial[]>();
  for (const trial of trials) {
    const own = found.get(trial.voltageMv);
    if (own === undefined) found.set(trial.voltageMv, [trial]);
    else own.push(trial);
  }
  return found;
}

type Clocks = (cell: Cell) => Iterable<number>;
const passedIn: Clocks = ({ passes }) => passes.keys();
const crashedIn: Clocks = ({ crashes }) => crashes;
const none: readonly Cell[] = [];

/** Clocks lowest first, groups as they came. */
function clocksAndGroups(trials: readonly AnyTrial[]): Pick<SettingsTried, "clocksMhz" | "groups"> {
  const clocks = new Set<number>();
  const groups = new Set<KnobGroup>();
  for (const { clockMhz, group } of trials) {
    if (clockMhz !== null) clocks.add(clockMhz);
    groups.add(group);
  }
  return { clocksMhz: [...clocks].sort((a, b) => a - b), groups: [...groups] };
}

/** The clocks of all cells of a voltage as one set, put together when first asked for. */
function togetherAt(
  cellsAt: ReadonlyMap<number, readonly Cell[]>,
  clocksOf: Clocks,
): (voltageMv: number) => ReadonlySet<number> {
  const known = new Map<number, ReadonlySet<number>>();
  return (voltageMv) => {
    const found = known.get(voltageMv) ?? allOf(cellsAt.get(voltageMv) ?? none, clocksOf);
    known.set(voltageMv, found);
    return found;
  };
}

function allOf(cells: readonly Cell[], clocksOf: Clocks): ReadonlySet<number> {
  const all = new Set<number>();
  for (const cell of cells) for (const clockMhz of clocksOf(cell)) all.add(clockMhz);
  return all;
}

function clocksHeld({ passes, contestingMhz }: Cell, requires: readonly Requirement[]): readonly number[] {
  const held: number[] = [];
  for (const [clockMhz, ran] of passes)
    if (clockMhz < contestingMhz && meetsRule(ran, requires)) held.push(clockMhz);
  return held;
}

function highestHeld(cells: readonly Cell[], heldIn: (cell: Cell) => readonly number[]): HeldAt | null {
  let best: HeldAt | null = null;
  for (const cell of cells) {
    const clockMhz = highestIn([cell], heldIn);
    if (clockMhz === null || (best !== null && clockMhz < best.clockMhz)) continue;
    const one = { clockMhz, group: cell.group, passes: cell.passes.get(clockMhz) ?? [] };
    if (best === null || isBetter(one, best)) best = one;
  }
  return best;
}

const isBetter = (one: HeldAt, than: HeldAt): boolean =>
  one.clockMhz > than.clockMhz ||
  (one.clockMhz === than.clockMhz && latestIn(one.passes) > latestIn(than.passes));

const latestIn = (passes: readonly TriedRow[]): string =>
  passes
    .map(({ startedAt }) => startedAt)
    .sort()
    .at(-1) ?? "";

function highestIn(cells: readonly Cell[], clocksOf: Clocks): number | null {
  let highest = Number.NEGATIVE_INFINITY;
  for (const cell of cells) for (const mhz of clocksOf(cell)) if (mhz > highest) highest = mhz;
  return highest === Number.NEGATIVE_INFINITY ? null : highest;
}

function lowestIn(cells: readonly Cell[], clocksOf: Clocks): number | null {
  let lowest = Number.POSITIVE_INFINITY;
  for (const cell of cells) for (const mhz of clocksOf(cell)) if (mhz < lowest) lowest = mhz;
  return lowest === Number.POSITIVE_INFINITY ? null : lowest;
}
