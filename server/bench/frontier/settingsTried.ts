import type { Chip } from "../things/chip.ts";
import type { EvidenceRow } from "../things/evidenceRow.ts";
import type { Requirement } from "../things/rule.ts";
import { meetsRule } from "./acceptanceRule.ts";
import { hottestC, type Trial } from "./evidence.ts";

/** The record of one build arranged by setting, ready to be asked. */
export type Settings = Readonly<{
  trials: readonly Trial[];
  /** Every voltage tried, lowest first. */
  voltagesMv: readonly number[];
  /** Every clock the record speaks of, lowest first. */
  clocksMhz: readonly number[];
  passesAt(voltageMv: number, clockMhz: number): readonly EvidenceRow[];
  crashedAt(voltageMv: number, clockMhz: number): boolean;
  highestPassedMhz(voltageMv: number): number | null;
  lowestCrashMhz(voltageMv: number): number | null;
  /** Passed by the rule and not contested. */
  holds(voltageMv: number, clockMhz: number): boolean;
  heldMhz(voltageMv: number): number | null;
  contestedAt(voltageMv: number): readonly Trial[];
  /** Crashes at higher voltages that were not held against a pass, since heat may have been their cause. */
  excusedByHeat: readonly Trial[];
}>;

type Voltage = {
  voltageMv: number;
  trials: Trial[];
  passes: Map<number, EvidenceRow[]>;
  crashes: Set<number>;
  hottestC: number | null;
  /** The lowest clock whose crash contests a pass here: crashed at this voltage, or cool at a higher one. */
  contestingMhz: number;
};

export function settingsOf(
  trials: readonly Trial[],
  chip: Pick<Chip, "tempLimitC" | "warnMarginC">,
  requires: readonly Requirement[],
): Settings {
  const voltages = voltagesOf(trials);
  const ascending = [...voltages.values()].sort((a, b) => a.voltageMv - b.voltageMv);
  const excusedByHeat = markContesting(ascending, chip.tempLimitC - chip.warnMarginC);
  const at = (voltageMv: number) => voltages.get(voltageMv);
  const holds = (voltage: Voltage | undefined, clockMhz: number): boolean => {
    const passes = voltage?.passes.get(clockMhz);
    return passes !== undefined && clockMhz < (voltage?.contestingMhz ?? 0) && meetsRule(passes, requires);
  };
  return {
    trials,
    voltagesMv: ascending.map((voltage) => voltage.voltageMv),
    clocksMhz: [
      ...new Set(trials.flatMap((trial) => (trial.clockMhz === null ? [] : [trial.clockMhz]))),
    ].sort((a, b) => a - b),
    passesAt: (voltageMv, clockMhz) => at(voltageMv)?.passes.get(clockMhz) ?? [],
    crashedAt: (voltageMv, clockMhz) => at(voltageMv)?.crashes.has(clockMhz) ?? false,
    highestPassedMhz: (voltageMv) => extreme(at(voltageMv)?.passes.keys(), Math.max),
    lowestCrashMhz: (voltageMv) => extreme(at(voltageMv)?.crashes.values(), Math.min),
    holds: (voltageMv, clockMhz) => holds(at(voltageMv), clockMhz),
    heldMhz: (voltageMv) => {
      const voltage = at(voltageMv);
      const held = [...(voltage?.passes.keys() ?? [])].filter((clockMhz) => holds(voltage, clockMhz));
      return extreme(held, Math.max);
    },
    contestedAt: (voltageMv) => {
      const voltage = at(voltageMv);
      if (!voltage) return [];
      return voltage.trials.filter(
        ({ class: kind, clockMhz }) =>
          kind === "pass" && clockMhz !== null && clockMhz >= voltage.contestingMhz,
      );
    },
    excusedByHeat,
  };
}

function voltagesOf(trials: readonly Trial[]): Map<number, Voltage> {
  const voltages = new Map<number, Voltage>();
  for (const trial of trials) {
    const { voltageMv, clockMhz, row } = trial;
    const voltage = voltages.get(voltageMv) ?? emptyVoltage(voltageMv);
    voltages.set(voltageMv, voltage);
    voltage.trials.push(trial);
    const hottest = hottestC(row);
    if (hottest !== null) voltage.hottestC = Math.max(voltage.hottestC ?? hottest, hottest);
    if (clockMhz === null) continue;
    if (trial.class === "crash") voltage.crashes.add(clockMhz);
    if (trial.class === "pass") {
      const passes = voltage.passes.get(clockMhz);
      if (passes) passes.push(row);
      else voltage.passes.set(clockMhz, [row]);
    }
  }
  return voltages;
}

const emptyVoltage = (voltageMv: number): Voltage => ({
  voltageMv,
  trials: [],
  passes: new Map(),
  crashes: new Set(),
  hottestC: null,
  contestingMhz: Number.POSITIVE_INFINITY,
});

/**
 * A pass is contested by a crash at the same or a lower clock, at its voltage or a higher one. A crash at a higher
 * voltage does not count where it ran within the warning margin of the limit: heat may have been its cause.
 */
function markContesting(ascending: readonly Voltage[], warmC: number): Trial[] {
  const excused: Trial[] = [];
  let fromAbove = Number.POSITIVE_INFINITY;
  for (const voltage of [...ascending].reverse()) {
    voltage.contestingMhz = Math.min(fromAbove, ...voltage.crashes);
    for (const trial of voltage.trials) {
      if (trial.class !== "crash" || trial.clockMhz === null) continue;
      if ((hottestC(trial.row) ?? voltage.hottestC ?? Number.NEGATIVE_INFINITY) >= warmC) excused.push(trial);
      else fromAbove = Math.min(fromAbove, trial.clockMhz);
    }
  }
  return excused;
}

function extreme(values: Iterable<number> | undefined, pick: (...some: number[]) => number): number | null {
  const all = [...(values ?? [])];
  return all.length === 0 ? null : pick(...all);
}
