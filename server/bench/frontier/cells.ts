import type { KnobGroup, KnobOrder } from "../order/knobs.ts";
import type { Chip } from "../things/chip.ts";
import type { TriedRow } from "../things/evidenceRow.ts";
import { neverStarted } from "../things/outcome.ts";
import { type AnyTrial, hottestC } from "./evidence.ts";

/** What one group did at one voltage. */
export type Cell = {
  voltageMv: number;
  group: KnobGroup;
  passes: Map<number, TriedRow[]>;
  /** The clocks that hold here, once the rule was asked. */
  held: readonly number[];
  highestPassedMhz: number;
  /** Its crashes at a clock that is known. */
  crashed: AnyTrial[];
  lowestCrashMhz: number;
  /** The lowest clock whose crash contests a pass here. */
  contestingMhz: number;
};

/** What a chip says of its crashes: from where on heat may be their cause, and whether starts speak of what ran. */
export type CrashTerms = Readonly<{
  chip: Pick<Chip, "tempLimitC" | "warnMarginC"> & Partial<Pick<Chip, "controlOffsetC">>;
  order: KnobOrder;
  startsDraw: boolean;
}>;

/** What was done at one voltage: by each group, and every attempt beside its cell, in the order of the record. */
export type AtVoltage = Readonly<{
  /** By the index of the group; a hole where it was not tried. */
  byGroup: (Cell | undefined)[];
  /** The same in the order of the record, without holes. */
  each: Cell[];
  trials: AnyTrial[];
  cells: Cell[];
  passedMhz: Set<number>;
  crashedMhz: Set<number>;
}>;

export function cellsOf(trials: readonly AnyTrial[]): Map<number, AtVoltage> {
  const voltages = new Map<number, AtVoltage>();
  for (const trial of trials) {
    const at = atVoltage(voltages, trial.voltageMv);
    const cell = cellIn(at, trial);
    at.trials.push(trial);
    at.cells.push(cell);
    if (trial.clockMhz !== null && trial.class === "crash") noteCrash(trial, trial.clockMhz, cell, at);
    if (trial.clockMhz !== null && trial.class === "pass") notePass(trial, trial.clockMhz, cell, at);
  }
  return voltages;
}

function atVoltage(voltages: Map<number, AtVoltage>, voltageMv: number): AtVoltage {
  const known = voltages.get(voltageMv);
  if (known !== undefined) return known;
  const made: AtVoltage = {
    ...{ byGroup: [], each: [], trials: [], cells: [] },
    ...{ passedMhz: new Set(), crashedMhz: new Set() },
  };
  voltages.set(voltageMv, made);
  return made;
}

function cellIn({ byGroup, each }: AtVoltage, { voltageMv, group }: AnyTrial): Cell {
  const known = byGroup[group.index];
  if (known !== undefined) return known;
  const made = emptyCell(voltageMv, group);
  byGroup[group.index] = made;
  each.push(made);
  return made;
}

const none: readonly number[] = [];

const emptyCell = (voltageMv: number, group: KnobGroup): Cell => ({
  voltageMv,
  group,
  passes: new Map(),
  held: none,
  highestPassedMhz: Number.NEGATIVE_INFINITY,
  crashed: [],
  lowestCrashMhz: Number.POSITIVE_INFINITY,
  contestingMhz: Number.POSITIVE_INFINITY,
});

function noteCrash(trial: AnyTrial, clockMhz: number, cell: Cell, { crashedMhz }: AtVoltage): void {
  crashedMhz.add(clockMhz);
  cell.crashed.push(trial);
  if (clockMhz < cell.lowestCrashMhz) cell.lowestCrashMhz = clockMhz;
}

function notePass({ row }: AnyTrial, clockMhz: number, cell: Cell, { passedMhz }: AtVoltage): void {
  passedMhz.add(clockMhz);
  const passes = cell.passes.get(clockMhz);
  if (passes) passes.push(row);
  else cell.passes.set(clockMhz, [row]);
  if (clockMhz > cell.highestPassedMhz) cell.highestPassedMhz = clockMhz;
}

/** A crash that says nothing of what ran: of a chip whose every start draws afresh, one that failed. */
export const isOfItsStart = ({ row }: AnyTrial, { startsDraw }: CrashTerms): boolean =>
  startsDraw && neverStarted(row.outcome);

/** The hottest that was read at a voltage. */
export function hottestAt({ trials }: AtVoltage): number | null {
  let hottest: number | null = null;
  for (const { row } of trials) {
    const tempC = hottestC(row);
    if (tempC !== null && (hottest === null || tempC > hottest)) hottest = tempC;
  }
  return hottest;
}
