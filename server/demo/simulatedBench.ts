import type { WorkloadKind } from "../bench/things/workload.ts";
import type { SeededRandom } from "../numerics/seededRandom.ts";
import { chipPowerW, clockHazardPerMin, type SimulatedChip } from "./simulatedChip.ts";

export type SimulatedBoard = Readonly<{
  /** Resistance from the regulator to the chip: what makes the voltage droop. */
  loadLineMilliohm: number;
  /** Clock lost to whatever else the board does to the chip. */
  clockLossMhz: number;
  supplyRiseCPerW: number;
}>;

export type SimulatedCooling = Readonly<{
  resistanceCPerW: number;
  /** What this putting-on of the cooler makes of the resistance; 1 is the usual one. */
  mountFactor: number;
  /** The part of the rise that follows the fast time constant (the chip), the rest follows the slow one (the cooler). */
  fastShare: number;
  fastS: number;
  slowS: number;
}>;

export type SimulatedFans = Readonly<{
  idleRpm: number;
  fullRpm: number;
  /** The chip temperatures between which the fans speed up. */
  fromC: number;
  toC: number;
  /** Sound level at half a metre at full speed, without the background. */
  fullDba: number;
}>;

export type SimulatedRoom = Readonly<{ ambientC: number; driftCPerH: number; backgroundDba: number }>;

type SimulatedSensor = Readonly<{ stepC: number; noiseC: number; noiseTimeS: number }>;

export type SimulatedBench = Readonly<{
  chip: SimulatedChip;
  board: SimulatedBoard;
  cooling: SimulatedCooling;
  fans: SimulatedFans;
  room: SimulatedRoom;
  sensor: SimulatedSensor;
  /** Deviation of the rise from run to run on one mount, as a share of the rise. */
  runScatter: number;
}>;

export type SimulatedWorkload = Readonly<{
  kind: WorkloadKind;
  /** How much of the chip it switches: 1 for the heaviest. */
  activity: number;
  /** How much further the limit lies than under the heaviest. */
  liftMhz: number;
}>;

export type SimulatedSetting = Readonly<{ clockMhz: number; voltageMv: number }>;

/** What holds once everything has levelled out. */
export type SteadyState = Readonly<{
  tempC: number;
  riseC: number;
  powerW: number;
  loadVoltageMv: number;
  currentA: number;
}>;

export const allCoreLoad: SimulatedWorkload = { kind: "all-core", activity: 1, liftMhz: 0 };
export const idleLoad: SimulatedWorkload = { kind: "idle", activity: 0.06, liftMhz: 600 };

/** Heat makes leakage and leakage makes heat: found by going round until it no longer moves, and cut off at 200 °C. */
export function steadyStateOf(
  bench: SimulatedBench,
  setting: SimulatedSetting,
  workload: SimulatedWorkload,
): SteadyState {
  const { chip, board, cooling, room } = bench;
  let tempC = room.ambientC + 40;
  let loadVoltageMv = setting.voltageMv;
  let powerW = 0;
  for (let round = 0; round < 25; round++) {
    powerW = chipPowerW(chip, setting.clockMhz, loadVoltageMv, tempC, workload.activity);
    loadVoltageMv = setting.voltageMv - (board.loadLineMilliohm * powerW * 1000) / loadVoltageMv;
    const riseC = cooling.resistanceCPerW * cooling.mountFactor * powerW;
    tempC = Math.min(200, room.ambientC + riseC);
  }
  return {
    tempC,
    riseC: tempC - room.ambientC,
    powerW,
    loadVoltageMv,
    currentA: (powerW * 1000) / loadVoltageMv,
  };
}

/** Crashes per minute that clock and heat cause at a temperature, strays left out. */
export const hazardPerMinAt = (
  bench: SimulatedBench,
  setting: SimulatedSetting,
  workload: SimulatedWorkload,
  loadVoltageMv: number,
  tempC: number,
): number =>
  clockHazardPerMin(
    bench.chip,
    setting.clockMhz + bench.board.clockLossMhz - workload.liftMhz,
    loadVoltageMv,
    tempC,
  );

/** The cooler taken off and put back: about a degree and a half of deviation at 60 degrees of rise. */
export const remounted = (bench: SimulatedBench, random: SeededRandom, scatter = 0.025): SimulatedBench => ({
  ...bench,
  cooling: { ...bench.cooling, mountFactor: 1 + scatter * random.normal() },
});

export const inRoom = (bench: SimulatedBench, room: Partial<SimulatedRoom>): SimulatedBench => ({
  ...bench,
  room: { ...bench.room, ...room },
});

/** Fan speed at a chip temperature, straight between the ends of the fan curve. */
export function fanRpmAt(fans: SimulatedFans, tempC: number): number {
  const share = Math.min(1, Math.max(0, (tempC - fans.fromC) / (fans.toC - fans.fromC)));
  return fans.idleRpm + share * (fans.fullRpm - fans.idleRpm);
}

/** Common practice: a fan's level follows fifty times the logarithm of its speed. The background adds as energy. */
export function soundLevelDba(bench: SimulatedBench, tempC: number): number {
  const fanDba = bench.fans.fullDba + 50 * Math.log10(fanRpmAt(bench.fans, tempC) / bench.fans.fullRpm);
  return 10 * Math.log10(10 ** (fanDba / 10) + 10 ** (bench.room.backgroundDba / 10));
}
