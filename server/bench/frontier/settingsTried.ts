import type { KnobGroup, KnobOrder } from "../order/knobs.ts";
import type { TriedRow } from "../things/evidenceRow.ts";
import type { Requirement } from "../things/rule.ts";
import { meetsRule } from "./acceptanceRule.ts";
import { type AtVoltage, type Cell, type CrashTerms, cellsOf } from "./cells.ts";
import { contestedFrom } from "./contestedFrom.ts";
import type { AnyTrial } from "./evidence.ts";

/** What holds at a voltage: a clock, and how the knobs stood. */
type HeldAt = Readonly<{ clockMhz: number; group: KnobGroup; passes: readonly TriedRow[] }>;

/** What one way of setting the knobs did at one voltage. */
type DidAt = Readonly<{
  voltageMv: number;
  highestPassedMhz: number | null;
  heldMhz: number | null;
  lowestCrashMhz: number | null;
}>;

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
  passedAt(voltageMv: number, clockMhz: number): boolean;
  crashedAt(voltageMv: number, clockMhz: number): boolean;
  highestPassedMhz(voltageMv: number): number | null;
  lowestCrashMhz(voltageMv: number): number | null;
  /** Passed by the rule and not contested, however the knobs stood. */
  holds(voltageMv: number, clockMhz: number): boolean;
  /** The highest clock that holds; where it holds in several ways, as the latest pass there ran. */
  heldAt(voltageMv: number): HeldAt | null;
  /** What one way of setting the knobs did there by itself; undefined where it was not tried. */
  didAt(voltageMv: number, group: KnobGroup): DidAt | undefined;
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
    ascending.map((voltageMv) => byVoltage.get(voltageMv)!),
    terms,
  );
  for (const { each } of byVoltage.values()) for (const cell of each) cell.held = clocksHeld(cell, requires);
  const held = new Map<number, ReadonlySet<number>>();
  const contested = new Map<number, readonly AnyTrial[]>();
  return {
    trials,
    order: terms.order,
    voltagesMv: ascending,
    ...clocksAndGroups(trials),
    passedAt: (voltageMv, clockMhz) => byVoltage.get(voltageMv)?.passedMhz.has(clockMhz) === true,
    crashedAt: (voltageMv, clockMhz) => byVoltage.get(voltageMv)?.crashedMhz.has(clockMhz) === true,
    highestPassedMhz: (voltageMv) => highestOf(byVoltage.get(voltageMv)?.passedMhz ?? none),
    lowestCrashMhz: (voltageMv) => lowestOf(byVoltage.get(voltageMv)?.crashedMhz ?? none),
    holds: (voltageMv, clockMhz) => {
      const known = held.get(voltageMv) ?? allHeld(byVoltage.get(voltageMv));
      held.set(voltageMv, known);
      return known.has(clockMhz);
    },
    heldAt: (voltageMv) => highestHeld(byVoltage.get(voltageMv)),
    didAt: (voltageMv, group) => didIn(byVoltage.get(voltageMv), group),
    contestedAt: (voltageMv) => {
      const known = contested.get(voltageMv) ?? contestedIn(byVoltage.get(voltageMv));
      contested.set(voltageMv, known);
      return known;
    },
    excusedByHeat,
  };
}

const none: readonly number[] = [];

function contestedIn(did: AtVoltage | undefined): readonly AnyTrial[] {
  if (did === undefined) return [];
  return did.trials.filter(
    ({ class: kind, clockMhz }, i) =>
      kind === "pass" && clockMhz !== null && clockMhz >= did.cells[i]!.contestingMhz,
  );
}

/** Clocks lowest first, groups as they came. */
function clocksAndGroups(trials: readonly AnyTrial[]): Pick<SettingsTried, "clocksMhz" | "groups"> {
  const clocks = new Set<number>();
  const groups: KnobGroup[] = [];
  const seen: true[] = [];
  for (const { clockMhz, group } of trials) {
    if (clockMhz !== null) clocks.add(clockMhz);
    if (seen[group.index] === undefined) groups.push(group);
    seen[group.index] = true;
  }
  return { clocksMhz: [...clocks].sort((a, b) => a - b), groups };
}

function allHeld(did: AtVoltage | undefined): ReadonlySet<number> {
  const all = new Set<number>();
  for (const { held } of did?.each ?? []) for (const clockMhz of held) all.add(clockMhz);
  return all;
}

function clocksHeld({ passes, contestingMhz }: Cell, requires: readonly Requirement[]): readonly number[] {
  let held: number[] | null = null;
  for (const [clockMhz, ran] of passes) {
    if (clockMhz >= contestingMhz || !meetsRule(ran, requires)) continue;
    held ??= [];
    held.push(clockMhz);
  }
  return held ?? none;
}

function highestHeld(did: AtVoltage | undefined): HeldAt | null {
  let best: HeldAt | null = null;
  for (const { group, passes, held } of did?.each ?? []) {
    const clockMhz = highestOf(held);
    if (clockMhz === null || (best !== null && clockMhz < best.clockMhz)) continue;
    const one = { clockMhz, group, passes: passes.get(clockMhz) ?? [] };
    if (best === null || isBetter(one, best)) best = one;
  }
  return best;
}

const isBetter = (one: HeldAt, than: HeldAt): boolean =>
  one.clockMhz > than.clockMhz ||
  (one.clockMhz === than.clockMhz && latestIn(one.passes) > latestIn(than.passes));

function latestIn(passes: readonly TriedRow[]): string {
  let latest = "";
  for (const { startedAt } of passes) if (startedAt > latest) latest = startedAt;
  return latest;
}

function didIn(did: AtVoltage | undefined, group: KnobGroup): DidAt | undefined {
  const cell = did?.byGroup[group.index];
  if (cell === undefined) return undefined;
  return {
    voltageMv: cell.voltageMv,
    highestPassedMhz: finite(cell.highestPassedMhz),
    heldMhz: highestOf(cell.held),
    lowestCrashMhz: finite(cell.lowestCrashMhz),
  };
}

const finite = (mhz: number): number | null => (Number.isFinite(mhz) ? mhz : null);

function highestOf(clocks: Iterable<number>): number | null {
  let highest = Number.NEGATIVE_INFINITY;
  for (const mhz of clocks) if (mhz > highest) highest = mhz;
  return finite(highest);
}

function lowestOf(clocks: Iterable<number>): number | null {
  let lowest = Number.POSITIVE_INFINITY;
  for (const mhz of clocks) if (mhz < lowest) lowest = mhz;
  return finite(lowest);
}
