import type { KnobGroup, KnobOrder } from "../order/knobs.ts";
import type { Chip } from "../things/chip.ts";
import type { TriedRow } from "../things/evidenceRow.ts";
import { neverStarted } from "../things/outcome.ts";
import { type AnyTrial, hottestC } from "./evidence.ts";

/** What one group did at one voltage. */
export type Cell = {
  voltageMv: number;
  group: KnobGroup;
  trials: AnyTrial[];
  passes: Map<number, TriedRow[]>;
  crashes: Set<number>;
  /** The lowest clock whose crash contests a pass here. */
  contestingMhz: number;
};

/** What a chip says of its crashes: from where on heat may be their cause, and whether starts speak of what ran. */
export type CrashTerms = Readonly<{
  chip: Pick<Chip, "tempLimitC" | "warnMarginC"> & Partial<Pick<Chip, "controlOffsetC">>;
  order: KnobOrder;
  startsDraw: boolean;
}>;

export function cellsOf(trials: readonly AnyTrial[]): Map<number, Map<KnobGroup, Cell>> {
  const voltages = new Map<number, Map<KnobGroup, Cell>>();
  for (const trial of trials) {
    const { voltageMv, clockMhz, group, row } = trial;
    const cell = cellIn(voltages, voltageMv, group);
    cell.trials.push(trial);
    if (clockMhz === null) continue;
    if (trial.class === "crash") cell.crashes.add(clockMhz);
    if (trial.class === "pass") {
      const passes = cell.passes.get(clockMhz);
      if (passes) passes.push(row);
      else cell.passes.set(clockMhz, [row]);
    }
  }
  return voltages;
}

function cellIn(voltages: Map<number, Map<KnobGroup, Cell>>, voltageMv: number, group: KnobGroup): Cell {
  const known = voltages.get(voltageMv)?.get(group);
  if (known !== undefined) return known;
  const made = emptyCell(voltageMv, group);
  const cells = voltages.get(voltageMv);
  if (cells === undefined) voltages.set(voltageMv, new Map([[group, made]]));
  else cells.set(group, made);
  return made;
}

const emptyCell = (voltageMv: number, group: KnobGroup): Cell => ({
  voltageMv,
  group,
  trials: [],
  passes: new Map(),
  crashes: new Set(),
  contestingMhz: Number.POSITIVE_INFINITY,
});

/** A crash that says nothing of what ran: of a chip whose every start draws afresh, one that failed. */
export const isOfItsStart = ({ row }: AnyTrial, { startsDraw }: CrashTerms): boolean =>
  startsDraw && neverStarted(row.outcome);

/** The hottest that was read at each voltage. */
export function hottestByVoltage(
  voltages: readonly ReadonlyMap<KnobGroup, Cell>[],
): readonly (number | null)[] {
  return voltages.map((cells) => {
    let hottest: number | null = null;
    for (const { trials } of cells.values())
      for (const { row } of trials) {
        const tempC = hottestC(row);
        if (tempC !== null && (hottest === null || tempC > hottest)) hottest = tempC;
      }
    return hottest;
  });
}
