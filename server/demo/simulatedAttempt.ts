import type { Outcome } from "../bench/things/outcome.ts";
import type { SeededRandom } from "../numerics/seededRandom.ts";
import {
  fanRpmAt,
  hazardPerMinAt,
  type SimulatedBench,
  type SimulatedSetting,
  type SimulatedWorkload,
  type SteadyState,
  steadyStateOf,
} from "./simulatedBench.ts";
import { limitMhzAt } from "./simulatedChip.ts";
import { meanTemperature, reachedAtS, temperatureAt, type WarmUp } from "./warmUp.ts";

/** What an attempt on a simulated bench shows. Readings are null where the chip never came under load. */
export type SimulatedAttempt = Readonly<{
  outcome: Outcome;
  /** How long it ran, to a tenth of a second; a wrong result is noticed only at the end. */
  durationS: number;
  ambientC: number;
  startTempC: number | null;
  loadTempC: number | null;
  peakTempC: number | null;
  supplyTempC: number | null;
  loadVoltageMv: number | null;
  currentA: number | null;
  powerW: number | null;
  fanRpm: number | null;
  /** True time of the fault, which only the simulator knows. */
  failedAtS: number | null;
  warmUp: WarmUp;
}>;

/** Runs one attempt. The same bench, setting, workload, time and random draws give the same attempt. */
export function runAttempt(
  bench: SimulatedBench,
  setting: SimulatedSetting,
  workload: SimulatedWorkload,
  plannedS: number,
  random: SeededRandom,
): SimulatedAttempt {
  const steady = steadyStateOf(bench, setting, workload);
  const warmUp = warmUpOf(bench, steady, 1 + bench.runScatter * random.normal());
  if (random.uniform() < chanceOfNoStart(bench, setting, steady)) return noStart(bench, warmUp, random);
  const hazardAt = (tempC: number) =>
    hazardPerMinAt(bench, setting, workload, steady.loadVoltageMv, tempC) + bench.chip.strayPerMin;
  const failedAtS = faultAtS(hazardAt, plannedS, warmUp, random);
  const kind = faultKind(random);
  const hotAtS = reachedAtS(warmUp, bench.chip.tempLimitC, plannedS);
  const ended = endOf(plannedS, failedAtS, hotAtS, kind);
  return {
    ...ended,
    ambientC: rounded(bench.room.ambientC + 0.2 * random.normal(), 0.1),
    ...readings(bench, steady, warmUp, ended.durationS, random),
    warmUp,
  };
}

function warmUpOf(bench: SimulatedBench, steady: SteadyState, riseFactor: number): WarmUp {
  const { ambientC, driftCPerH } = bench.room;
  const riseC = steady.riseC * riseFactor;
  return { cooling: bench.cooling, startC: ambientC + 0.15 * riseC, steadyC: ambientC + riseC, driftCPerH };
}

/** Far beyond the limit nothing starts: one chance in two at 150 MHz beyond it. */
function chanceOfNoStart(bench: SimulatedBench, setting: SimulatedSetting, steady: SteadyState): number {
  const limitMhz = limitMhzAt(bench.chip, steady.loadVoltageMv, steady.tempC) - bench.board.clockLossMhz;
  return 1 / (1 + Math.exp(-(setting.clockMhz - limitMhz - 150) / 30));
}

function noStart(bench: SimulatedBench, warmUp: WarmUp, random: SeededRandom): SimulatedAttempt {
  return {
    outcome: random.uniform() < 0.85 ? "no-start" : "fell-back",
    durationS: 0,
    ambientC: rounded(bench.room.ambientC + 0.2 * random.normal(), 0.1),
    startTempC: null,
    loadTempC: null,
    peakTempC: null,
    supplyTempC: null,
    loadVoltageMv: null,
    currentA: null,
    powerW: null,
    fanRpm: null,
    failedAtS: 0,
    warmUp,
  };
}

/** The hazard is added up over the run until it meets an exponential draw; fine steps while it warms up, coarse after. */
function faultAtS(
  hazardPerMin: (tempC: number) => number,
  plannedS: number,
  warmUp: WarmUp,
  random: SeededRandom,
): number | null {
  const needed = random.exponential();
  let hazard = 0;
  for (let atS = 0; atS < plannedS; ) {
    const stepS = Math.min(atS < 6 * warmUp.cooling.slowS ? 6 : 60, plannedS - atS);
    const added = (hazardPerMin(temperatureAt(warmUp, atS + stepS / 2)) * stepS) / 60;
    if (hazard + added >= needed) return atS + ((needed - hazard) / added) * stepS;
    hazard += added;
    atS += stepS;
  }
  return null;
}

const faultKinds: readonly Outcome[] = ["restart", "freeze", "system-error", "app-closed", "wrong-result"];
const faultShares = [0.34, 0.6, 0.8, 0.9, 1];

function faultKind(random: SeededRandom): Outcome {
  const draw = random.uniform();
  return faultKinds[faultShares.findIndex((share) => draw < share)] ?? "restart";
}

function endOf(plannedS: number, failedAtS: number | null, hotAtS: number | undefined, kind: Outcome) {
  const noticedAtS = kind === "wrong-result" ? plannedS : (failedAtS ?? plannedS);
  if (hotAtS !== undefined && (failedAtS === null || hotAtS < noticedAtS))
    return { outcome: "too-hot" as const, durationS: rounded(hotAtS, 0.1), failedAtS: null };
  if (failedAtS === null) return { outcome: "pass" as const, durationS: plannedS, failedAtS };
  return { outcome: kind, durationS: rounded(noticedAtS, 0.1), failedAtS };
}

function readings(
  bench: SimulatedBench,
  steady: SteadyState,
  warmUp: WarmUp,
  durationS: number,
  random: SeededRandom,
) {
  const { sensor, fans, room, board } = bench;
  const lastS = Math.max(0, durationS - Math.min(180, durationS / 3 + 1));
  const levelC = durationS > 0 ? meanTemperature(warmUp, lastS, durationS) : warmUp.startC;
  const hottestC = temperatureAt(warmUp, durationS) + 2.2 * sensor.noiseC;
  const loadTempC = rounded(levelC + 0.25 * sensor.noiseC * random.normal(), 0.1);
  return {
    startTempC: rounded(warmUp.startC + sensor.noiseC * random.normal(), sensor.stepC),
    loadTempC,
    peakTempC: Math.max(rounded(hottestC, sensor.stepC), loadTempC),
    supplyTempC: rounded(room.ambientC + board.supplyRiseCPerW * steady.powerW + random.normal(), 1),
    loadVoltageMv: rounded(steady.loadVoltageMv + random.normal(), 1),
    currentA: rounded(steady.currentA + random.normal(), 1),
    powerW: rounded(steady.powerW * (1 + 0.01 * random.normal()), 0.1),
    fanRpm: rounded(fanRpmAt(fans, levelC) + 8 * random.normal(), 10),
  };
}

/** To the nearest step, without the crumbs of binary fractions. */
export const rounded = (value: number, step: number): number =>
  Number((Math.round(value / step) * step).toFixed(3));
