import { halfWidth95, straightLine } from "../../numerics/straightLine.ts";
import {
  arrivedMv,
  type ElectricalRun,
  type Found,
  foundWith,
  keptRunning,
  trueClockMhz,
  type Unknown,
} from "../runs/electricalRun.ts";

/**
 * Switching power a C V^2 f in watts, where a is the share of clock cycles in which a node charges: no half.
 * Capacitance in farads, clock in hertz.
 */
export const switchingPowerW = (
  activity: number,
  capacitanceF: number,
  volts: number,
  hertz: number,
): number => activity * capacitanceF * volts ** 2 * hertz;

/** How power grows with V^2 f at one workload of one build, and what is there without any clock. */
export type PowerFit = Readonly<{
  workloadId: string;
  powerAt: "chip" | "board" | "wall";
  /** Activity times capacitance, as one figure, in nF. */
  switchedCapacitanceNf: Found;
  staticW: Found;
  /** How far readings lie off the line; null with too few of them. */
  residualW: number | null;
  readings: number;
  wattsAt: (clockMhz: number, voltageMv: number) => number;
}>;

export type Place = "chip" | "board" | "wall";

/** The fit at the place where power was read most often; runs of one workload, at two different V^2 f or more. */
export function powerFitOf(runs: readonly ElectricalRun[], workloadId: string): PowerFit | Unknown {
  const read = runs.filter((run) => run.workloadId === workloadId && run.powerW !== null && keptRunning(run));
  const place = commonestPlace(read);
  if (place === undefined) return { unknown: "No power was read under this load." };
  const points = read.filter((run) => placeOf(run) === place).flatMap(pointOf);
  const line = straightLine(points);
  if (line === undefined)
    return { unknown: "Power was read at one setting only; a second clock or voltage shows how it grows." };
  if (line.slope <= 0)
    return { unknown: "Power did not grow with voltage and clock in these readings; read it again." };
  const { degreesOfFreedom } = line;
  return {
    workloadId,
    powerAt: place,
    switchedCapacitanceNf: scaled(
      foundWith(line.slope, halfWidth95(line.slopeError, degreesOfFreedom)),
      nanofaradsPerSlope,
    ),
    staticW: foundWith(line.intercept, halfWidth95(line.interceptError, degreesOfFreedom)),
    residualW: line.residualDeviation ?? null,
    readings: points.length,
    wattsAt: (clockMhz, voltageMv) => line.intercept + line.slope * squareTimesClock(voltageMv, clockMhz),
  };
}

export const placeOf = (run: ElectricalRun): Place => run.powerAt ?? "chip";

const commonestPlace = (runs: readonly ElectricalRun[]): Place | undefined => {
  const count = (place: Place): number => runs.filter((run) => placeOf(run) === place).length;
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

const pointOf = (run: ElectricalRun): (readonly [number, number])[] => {
  const x = squareTimesClockOf(run);
  return x === null ? [] : [[x, run.powerW!]];
};

const scaled = ({ value, low, high }: Found, by: number): Found => ({
  value: value * by,
  low: low === null ? null : low * by,
  high: high === null ? null : high * by,
});
