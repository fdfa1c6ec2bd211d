import { mean } from "../../numerics/moments.ts";
import { type ComparedRun, isSteady } from "../runs/comparedRun.ts";
import {
  type ClockAtVoltage,
  clockRow,
  type HeldAndCrashed,
  type SameVoltageQuestion,
  type SameVoltageRow,
} from "./sameVoltage.ts";

/** Which voltage arrived at the chip under load for each one set. */
export type LoadVoltages = ReadonlyMap<number, number>;

type Loaded = Pick<ComparedRun, "loadVoltageMv" | "outcome"> & Readonly<{ voltageMv: number }>;

/** The mean load voltage at each voltage set, from runs that kept running; idle ones are the caller's to leave out. */
export function loadVoltagesOf(runs: readonly Loaded[]): Map<number, number> {
  const readings = new Map<number, number[]>();
  for (const run of runs) {
    if (run.loadVoltageMv === null || !isSteady(run)) continue;
    const list = readings.get(run.voltageMv);
    if (list === undefined) readings.set(run.voltageMv, [run.loadVoltageMv]);
    else list.push(run.loadVoltageMv);
  }
  return new Map([...readings].map(([voltageMv, values]) => [voltageMv, mean(values)!]));
}

export type SameLoadVoltageQuestion = SameVoltageQuestion &
  Readonly<{ loadVoltagesOfA: LoadVoltages; loadVoltagesOfB: LoadVoltages }>;

/**
 * The clocks at the same voltage under load, so that a stiffer supply is not taken for a better chip: at each load voltage
 * of one build the other is read between its neighbours, never beyond them.
 */
export function sameLoadVoltageRows(question: SameLoadVoltageQuestion): SameVoltageRow[] {
  const a = ladderOf(question.a, question.loadVoltagesOfA);
  const b = ladderOf(question.b, question.loadVoltagesOfB);
  const voltages = [...new Set([...a, ...b].map((rung) => rung.loadMv))].sort((x, y) => x - y);
  return voltages.flatMap((loadMv) => {
    const [atA, atB] = [readAt(a, loadMv), readAt(b, loadMv)];
    if (atA === undefined || atB === undefined) return [];
    const between = whichBetween(atA.between, atB.between);
    return [clockRow(Math.round(loadMv * 1000) / 1000, atA, atB, between, question)];
  });
}

const whichBetween = (a: boolean, b: boolean): SameVoltageRow["interpolated"] =>
  a && b ? "both" : a ? "a" : b ? "b" : null;

type Rung = Readonly<{ loadMv: number; point: ClockAtVoltage }>;

const ladderOf = (points: readonly ClockAtVoltage[], loadVoltages: LoadVoltages): Rung[] =>
  points
    .flatMap((point) => {
      const loadMv = loadVoltages.get(point.voltageMv);
      return loadMv === undefined ? [] : [{ loadMv, point }];
    })
    .sort((first, second) => first.loadMv - second.loadMv);

type ReadAt = HeldAndCrashed & Readonly<{ between: boolean }>;

function readAt(ladder: readonly Rung[], loadMv: number): ReadAt | undefined {
  const above = ladder.findIndex((rung) => rung.loadMv >= loadMv);
  const upper = ladder[above];
  if (upper === undefined) return undefined;
  if (upper.loadMv === loadMv) return { ...upper.point, between: false };
  const lower = ladder[above - 1];
  return lower === undefined ? undefined : readBetween(lower, upper, loadMv);
}

/** Held and crashed clocks are drawn straight between the neighbours; where a neighbour lacks one, nothing is read. */
function readBetween(lower: Rung, upper: Rung, loadMv: number): ReadAt {
  const share = (loadMv - lower.loadMv) / (upper.loadMv - lower.loadMv);
  const along = (from: number | null, to: number | null): number | null =>
    from === null || to === null ? null : Math.round((from + share * (to - from)) * 1000) / 1000;
  return {
    heldMhz: along(lower.point.heldMhz, upper.point.heldMhz),
    lowestCrashMhz: along(lower.point.lowestCrashMhz, upper.point.lowestCrashMhz),
    between: true,
  };
}
