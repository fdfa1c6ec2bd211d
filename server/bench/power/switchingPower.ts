import { mean } from "../../numerics/moments.ts";
import { straightLine } from "../../numerics/straightLine.ts";
import { weightedQuantilesOf } from "../../numerics/weightedQuantiles.ts";
import {
  arrivedMv,
  type ElectricalReading,
  type ElectricalRun,
  type Found,
  keptRunning,
  trueClockMhz,
  type Unknown,
} from "../runs/electricalRun.ts";
import {
  type LeakingPower,
  leakingPowerOf,
  leakOf,
  type PowerDraws,
  type PowerReading,
  wattsOf,
} from "./leakingPower.ts";

/** How power grows under one workload of one build, and what of it is there without any clock. */
export type PowerFit = Readonly<{
  workloadId: string;
  powerAt: MeasuringPlace;
  /** Activity times capacitance, as one figure, in nF; null where it cannot be told from what leaks. */
  switchedCapacitanceNf: Found | null;
  /** What leaks at `staticAt`; null where it cannot be told from what switches. */
  staticW: Found | null;
  staticAt: Readonly<{ voltageMv: number; tempC: number }>;
  /** Why the two cannot be told apart; null where they can. */
  unseparated: string | null;
  /** How far readings lie off the fit, which is all that the ends of any figure hold. */
  residualW: number;
  /** How far one reading may lie off, 95 %, as a share of itself. */
  readingDoubt: number;
  readings: number;
  wattsAt: (at: PowerSetting) => number;
  /** How far what was read of a setting, on the mean, may lie off, 95 %, as a share of itself. */
  offShare: (at: PowerSetting, readW: number) => number;
  /** What one setting draws more than another, with its 95 % ends. */
  moreW: (from: PowerSetting, to: PowerSetting) => Found;
}>;

/** A setting as it was run: the voltage that arrived, the true clock, and how warm the chip was; null where nobody read it. */
export type PowerSetting = Readonly<{ arrivedMv: number; clockMhz: number; tempC: number | null }>;

export type MeasuringPlace = "chip" | "board" | "wall";

export const noPowerUnderLoad = "No power was read under this load in a run that kept running.";

const drawCount = 1500;
/** With more than this of the share that leaks left open, readings say little beyond what is usual of such chips. */
const mostLeftOpen = 0.75;

/** The fit at the place where power was read most often; runs of one workload, at two different V^2 f or more. */
export function powerFitOf(runs: readonly ElectricalRun[], workloadId: string): PowerFit | Unknown {
  const read = runs.filter((run) => run.workloadId === workloadId && run.powerW !== null && keptRunning(run));
  const place = commonestPlace(read);
  if (place === undefined) return { unknown: noPowerUnderLoad };
  const points = read.filter((run) => measuringPlaceOf(run) === place).flatMap(pointOf);
  const line = straightLine(points.map(({ run, x }) => [x, run.powerW!] as const));
  if (line === undefined)
    return { unknown: "Power was read at one setting only; a second clock or voltage shows how it grows." };
  if (line.slope <= 0)
    return { unknown: "Power did not grow with voltage and clock in these readings; read it again." };
  const readings = points.map(({ run }) => readingOf(run));
  const power = leakingPowerOf(readings, { hasRest: place === "wall", count: drawCount });
  if (power === null) return { unknown: "These readings fit no chip; look at them again." };
  return { workloadId, powerAt: place, readings: points.length, ...figuresOf(power, readings, place) };
}

type Figures = Omit<PowerFit, "workloadId" | "powerAt" | "readings">;

function figuresOf(power: PowerDraws, readings: readonly PowerReading[], place: MeasuringPlace): Figures {
  const { draws, reference, scatterShare, readingDoubt } = power;
  const meanW = mean(readings.map(({ powerW }) => powerW))!;
  const placed = ({ arrivedMv, clockMhz, tempC }: PowerSetting) => ({
    volts: arrivedMv / 1000,
    clockMhz,
    tempC: tempC ?? reference.tempC,
  });
  const unseparated = unseparatedBecause(power, place);
  const found = (of: (draw: LeakingPower) => number): Found => foundIn(draws.map(of));
  const switched = (draw: LeakingPower): number => nanofaradsPerSlope * draw.switched;
  return {
    switchedCapacitanceNf: unseparated === null ? found(switched) : null,
    staticW: unseparated === null ? found((draw) => leakOf(draw, reference, reference)) : null,
    staticAt: { voltageMv: 1000 * reference.volts, tempC: reference.tempC },
    unseparated,
    residualW: scatterShare * meanW,
    readingDoubt,
    wattsAt: (at) => found((draw) => wattsOf(draw, placed(at), reference)).value,
    offShare: (at, readW) =>
      lawDoubt *
      quantileOf(
        draws.map((draw) => Math.abs(wattsOf(draw, placed(at), reference) / readW - 1)),
        0.95,
      ),
    moreW: (from, to) =>
      widened(found((draw) => wattsOf(draw, placed(to), reference) - wattsOf(draw, placed(from), reference))),
  };
}

function unseparatedBecause({ leakLeftOpen }: PowerDraws, place: MeasuringPlace): string | null {
  if (place === "wall")
    return "Read at the wall: the rest of the machine and the supply's own loss are in every figure, so what the chip switches and what it leaks are not told.";
  return leakLeftOpen > mostLeftOpen
    ? "These readings do not separate what switches from what leaks: they lie too near one another, or scatter too much. Read power at another voltage, and at another clock of the same voltage."
    : null;
}

const quantileOf = (values: readonly number[], share: number): number =>
  weightedQuantilesOf(values, new Float64Array(values.length).fill(1), [share])![0]!;

/** The middle of the draws and their 95 % ends. */
const foundIn = (values: readonly number[]): Found => ({
  low: quantileOf(values, 0.025),
  value: quantileOf(values, 0.5),
  high: quantileOf(values, 0.975),
});

/** A chip follows the law of the fit only nearly; what that adds was found on chips that follow another. */
const lawDoubt = 1.1;

const widened = ({ value, low, high }: Found): Found => ({
  value,
  low: low === null ? null : value - lawDoubt * (value - low),
  high: high === null ? null : value + lawDoubt * (high - value),
});

const readingOf = (run: ElectricalRun): PowerReading => ({
  volts: arrivedMv(run) / 1000,
  clockMhz: trueClockMhz(run)!,
  tempC: run.loadTempC,
  powerW: run.powerW!,
});

export const measuringPlaceOf = (run: Pick<ElectricalReading, "powerAt">): MeasuringPlace =>
  run.powerAt ?? "chip";

/** Where power was read most often; undefined where it was not read. */
export const commonestPlace = (
  runs: readonly Pick<ElectricalReading, "powerAt">[],
): MeasuringPlace | undefined => {
  const count = (place: MeasuringPlace): number =>
    runs.filter((run) => measuringPlaceOf(run) === place).length;
  return (["chip", "board", "wall"] as const)
    .filter((place) => count(place) > 0)
    .sort((first, second) => count(second) - count(first))[0];
};

/** W per V^2 MHz is a microfarad, a thousand nanofarads. */
const nanofaradsPerSlope = 1000;
const squareTimesClock = (voltageMv: number, clockMhz: number): number => (voltageMv / 1000) ** 2 * clockMhz;

/** V^2 f in V^2 MHz at the voltage that arrived and the clock it truly ran at; null where that is not known. */
export const squareTimesClockOf = (run: ElectricalRun): number | null => {
  const clockMhz = trueClockMhz(run);
  return clockMhz === null ? null : squareTimesClock(arrivedMv(run), clockMhz);
};

const pointOf = (run: ElectricalRun): Readonly<{ run: ElectricalRun; x: number }>[] => {
  const x = squareTimesClockOf(run);
  return x === null ? [] : [{ run, x }];
};
