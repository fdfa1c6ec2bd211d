import { mean } from "../../numerics/moments.ts";
import {
  arrivedMv,
  type ElectricalRun,
  type Found,
  keptRunning,
  trueClockMhz,
  type Unknown,
} from "../runs/electricalRun.ts";
import type { RunRow, TaggedRun } from "../runs/runRow.ts";
import { type ScoreScaling, scoreScalingOf } from "../runs/score.ts";
import type { Board } from "../things/board.ts";
import type { Chip } from "../things/chip.ts";
import { isSetByClock } from "../things/setting.ts";
import type { UnitOfClock } from "../things/words.ts";
import type { Workload } from "../things/workload.ts";
import { type Efficiency, efficiencyOf, lastStepCost, type StepCost } from "./efficiency.ts";
import { currentOf, droopMv, loadLinesOf } from "./loadLine.ts";
import { type OffsetChip, type OffsetPower, offsetPowersOf, type PoweredLoad } from "./offsetPower.ts";
import { type PhaseCurrent, phaseCurrentOf } from "./phaseCurrent.ts";
import {
  commonestPlace,
  type MeasuringPlace,
  measuringPlaceOf,
  noPowerUnderLoad,
  type PowerFit,
  type PowerSetting,
  powerFitOf,
  squareTimesClockOf,
} from "./switchingPower.ts";

/** One reading of power where V^2 f is known. */
type PowerPoint = Readonly<{
  attemptId: string;
  clockMhz: number;
  voltageMv: number;
  squareTimesClock: number;
  powerW: number;
  /** How it was run: the voltage that arrived, the true clock, the chip's temperature. */
  ran: PowerSetting;
}>;

/** One reading of the voltage that arrived, where the current is known. */
type DroopPoint = Readonly<{
  attemptId: string;
  currentA: number;
  droopMv: number;
  loadLine: string | null;
}>;

/** What a build's power, voltage and score readings come to under one workload. */
export type PowerAccount = Readonly<{
  workloadId: string | null;
  powerAt: MeasuringPlace;
  /** Of how many of the readings taken there somebody said that they were; those of no stated place are taken to be the chip's. */
  powerAtSaid: "all" | "some" | "none";
  fit: PowerFit | Unknown;
  points: readonly PowerPoint[];
  efficiency: readonly Efficiency[];
  /** What the last step up to the highest clock read costs. */
  lastStep: StepCost | null;
  /** The same by the fitted line, which single readings scatter about; null where none is fitted. */
  lastStepByFit: Found | null;
  /** Of readings at the wall: whether the supply's loss was taken off, by which efficiency, and what is left in them. */
  wall: WallReadings | null;
  loadLines: ReturnType<typeof loadLinesOf>;
  droops: readonly DroopPoint[];
  /** The highest current read, shared among the phases; null where it or their number is not known. */
  phases: (PhaseCurrent & Readonly<{ attemptId: string; currentA: number }>) | null;
  score: ScoreScaling | null;
  /** What each offset draws and gives, the easiest first; null on a chip that is set by clock. */
  byOffset: readonly OffsetPower[] | null;
}>;

export type PoweredChip = OffsetChip & Pick<Chip, "axis">;

const setByClock: PoweredChip = { axis: "clock", kind: "cpu", clockUnit: "MHz", offset: null, knobs: [] };

/** Under the workload asked for, else under the one whose power was read most often. */
export function powerAccountOf(
  runs: readonly TaggedRun[],
  workloads: ReadonlyMap<string, Workload>,
  board: Pick<Board, "corePhases" | "phaseRatingA">,
  asked: string | null = null,
  supplyEfficiency: number | null = null,
  chip: PoweredChip = setByClock,
): PowerAccount {
  const all = runs
    .filter((run) => workloads.get(run.workloadId)?.kind !== "idle")
    .map((run) => behindSupply(run, supplyEfficiency));
  const loaded = all.filter(isSetByClock);
  const workloadId = asked ?? mostReadUnder(chip.axis === "offset" ? all : loaded);
  if (chip.axis === "offset") {
    const scoreBetter = workloads.get(workloadId ?? "")?.scoreBetter ?? null;
    const load = workloadId === null ? null : { id: workloadId, scoreBetter };
    return { ...accountByOffset(all, load, supplyEfficiency, chip), phases: phasesOf(all, board) };
  }
  const fit = workloadId === null ? noPowerOf(all) : powerFitOf(loaded, workloadId);
  const read = readUnder(loaded, workloadId);
  const powerAt = "powerAt" in fit ? fit.powerAt : read[0] ? measuringPlaceOf(read[0]) : "chip";
  const doubt = "readingDoubt" in fit ? fit.readingDoubt : null;
  const efficiency = workloadId === null ? [] : efficiencyOf(loaded, workloadId, powerAt, meanOffBy(fit));
  const highest = efficiency.at(-1);
  const lastStep = (highest && lastStepCost(efficiency, highest.clockMhz, doubt, chip.clockUnit)) ?? null;
  const readThere = read.filter((run) => measuringPlaceOf(run) === powerAt);
  const points = readThere.flatMap(pointOf);
  return {
    workloadId,
    powerAt,
    powerAtSaid: saidOf(readThere),
    fit,
    points,
    efficiency,
    lastStep,
    lastStepByFit: lastStep && "moreW" in fit ? stepByFit(lastStep, fit, points, efficiency) : null,
    wall: powerAt === "wall" && points.length > 0 ? wallReadings(supplyEfficiency) : null,
    loadLines: loadLinesOf(loaded),
    droops: loaded.filter(keptRunning).flatMap(droopOf),
    phases: phasesOf(all, board),
    score:
      workloadId === null ? null : scoreOf(loaded, workloadId, workloads.get(workloadId), chip.clockUnit),
    byOffset: null,
  };
}

const readUnder = <Run extends TaggedRun>(runs: readonly Run[], workloadId: string | null): Run[] =>
  runs.filter((run) => run.workloadId === workloadId && run.powerW !== null && keptRunning(run));

function saidOf(read: readonly TaggedRun[]): PowerAccount["powerAtSaid"] {
  const said = read.filter((run) => run.powerAt !== null).length;
  return said === read.length ? "all" : said === 0 ? "none" : "some";
}

/** Clock and voltage of an offset are readings, which no droop is told of and no law is fitted to. */
function accountByOffset(
  runs: readonly TaggedRun[],
  load: PoweredLoad | null,
  supplyEfficiency: number | null,
  chip: PoweredChip,
): Omit<PowerAccount, "phases"> {
  const read = load === null ? [] : readUnder(runs, load.id);
  const place = commonestPlace(read);
  const powerAt = place ?? "chip";
  return {
    workloadId: load?.id ?? null,
    powerAt,
    powerAtSaid: saidOf(read.filter((run) => measuringPlaceOf(run) === powerAt)),
    fit: place !== undefined ? toldByOffset : load === null ? noPower : noPowerUnder,
    ...{ points: [], efficiency: [], lastStep: null, lastStepByFit: null },
    wall: place === "wall" ? wallReadings(supplyEfficiency) : null,
    ...{ loadLines: [], droops: [], score: null },
    byOffset: load === null ? [] : offsetPowersOf(runs, load, powerAt, chip),
  };
}

const toldByOffset: Unknown = {
  unknown: "This chip is set by an offset: what it draws is told offset by offset.",
};

/**
 * A reading lies as far off as the fit leaves open about it. The scatter of readings would say more: a reading that is far
 * off has widened that scatter already.
 */
const meanOffBy = (fit: PowerFit | Unknown): Parameters<typeof efficiencyOf>[3] =>
  "offShare" in fit ? (runs, meanW) => fit.offShare(meanSetting(runs.map(ranOf))!, meanW) : null;

/** Between both settings as they were run on the mean, each at the lowest voltage its clock was read at. */
function stepByFit(
  { fromMhz, toMhz }: StepCost,
  fit: PowerFit,
  points: readonly PowerPoint[],
  efficiency: readonly Efficiency[],
): Found | null {
  const ranAt = (clockMhz: number): PowerSetting | undefined => {
    const lowestMv = efficiency.find((setting) => setting.clockMhz === clockMhz)?.voltageMv;
    const there = points.filter((point) => point.clockMhz === clockMhz && point.voltageMv === lowestMv);
    return meanSetting(there.map(({ ran }) => ran));
  };
  const [from, to] = [ranAt(fromMhz), ranAt(toMhz)];
  return from === undefined || to === undefined ? null : fit.moreW(from, to);
}

const ranOf = (run: ElectricalRun): PowerSetting => ({
  arrivedMv: arrivedMv(run),
  clockMhz: trueClockMhz(run)!,
  tempC: run.loadTempC,
});

function meanSetting(ran: readonly PowerSetting[]): PowerSetting | undefined {
  const [arrived, clockMhz] = [
    mean(ran.map(({ arrivedMv }) => arrivedMv)),
    mean(ran.map(({ clockMhz }) => clockMhz)),
  ];
  if (arrived === undefined || clockMhz === undefined) return undefined;
  return { arrivedMv: arrived, clockMhz, tempC: mean(ran.flatMap(({ tempC }) => tempC ?? [])) ?? null };
}

type WallReadings = Readonly<{ supplyEfficiency: number | null; words: string }>;

const wallReadings = (supplyEfficiency: number | null): WallReadings => ({
  supplyEfficiency,
  words:
    supplyEfficiency === null
      ? "Read at the wall and kept as read: the whole machine's, with what its supply loses. Readings at the chip or the board are never mixed in."
      : `Read at the wall, times ${supplyEfficiency} for the supply as stated: what goes into the whole machine, not into the chip alone.`,
});

/** What a supply of a stated efficiency passes on of a reading at the wall. */
const behindSupply = (run: TaggedRun, supplyEfficiency: number | null): TaggedRun =>
  supplyEfficiency === null || run.powerAt !== "wall" || run.powerW === null
    ? run
    : { ...run, powerW: run.powerW * supplyEfficiency };

const noPower: Unknown = { unknown: "No power was read yet." };
const onAutomatic: Unknown = {
  unknown: "Power was read on automatic voltage alone: how it grows shows where the voltage is set.",
};
const noPowerOf = (runs: readonly TaggedRun[]): Unknown =>
  runs.some(({ powerW }) => powerW !== null) ? onAutomatic : noPower;

const noPowerUnder: Unknown = { unknown: noPowerUnderLoad };

/** Scores count where no power was read at all. */
function mostReadUnder(runs: readonly TaggedRun[]): string | null {
  const counts = new Map<string, number>();
  for (const { workloadId, powerW, score, loadVoltageMv } of runs) {
    const worth = powerW !== null ? 1000 : score !== null || loadVoltageMv !== null ? 1 : 0;
    if (worth > 0) counts.set(workloadId, (counts.get(workloadId) ?? 0) + worth);
  }
  return [...counts].sort(([, a], [, b]) => b - a)[0]?.[0] ?? null;
}

function pointOf(run: RunRow): PowerPoint[] {
  const squareTimesClock = squareTimesClockOf(run);
  if (squareTimesClock === null || run.powerW === null) return [];
  const { id: attemptId, clockMhz, voltageMv, powerW } = run;
  return [{ attemptId, clockMhz, voltageMv, squareTimesClock, powerW, ran: ranOf(run) }];
}

function droopOf(run: RunRow): DroopPoint[] {
  const [droop, currentA] = [droopMv(run), currentOf(run)];
  return droop === null || currentA === null
    ? []
    : [{ attemptId: run.id, currentA, droopMv: droop, loadLine: run.loadLine }];
}

/** The most that was drawn decides, also in a run that did not last. */
function phasesOf(
  runs: readonly TaggedRun[],
  board: Pick<Board, "corePhases" | "phaseRatingA">,
): PowerAccount["phases"] {
  const drawn = runs.flatMap((run) => {
    const currentA = currentOf(run);
    return currentA === null ? [] : [{ attemptId: run.id, currentA }];
  });
  const [most] = drawn.sort((first, second) => second.currentA - first.currentA);
  const phases = most && phaseCurrentOf(most.currentA, board);
  return most === undefined || phases === undefined ? null : { ...phases, ...most };
}

function scoreOf(
  runs: readonly RunRow[],
  workloadId: string,
  workload: Workload | undefined,
  unit: UnitOfClock,
): ScoreScaling | null {
  const scaling = scoreScalingOf(runs, workloadId, workload?.scoreBetter ?? "higher", unit);
  return scaling.byClock.length === 0 ? null : scaling;
}
