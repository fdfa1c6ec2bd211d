import {
  allCoreLoad,
  hazardPerMinAt,
  type SimulatedBench,
  type SimulatedSetting,
  type SimulatedWorkload,
  steadyStateOf,
} from "../../server/demo/simulatedBench.ts";
import type { SimulatedChip } from "../../server/demo/simulatedChip.ts";
import type { SeededRandom } from "../../server/numerics/seededRandom.ts";

/** `power`: gate delay alone; `mixed`: 20 to 60 % fixed delay; `flat`: so much that 10 mV buy 10 to 15 MHz before heat takes its share. */
type DelayLaw = "power" | "mixed" | "flat";

/** Some chip of the sort met on benches, about 5.2 GHz at 1.25 V under load. */
export function drawnChip(random: SeededRandom, law: DelayLaw = "power"): SimulatedChip {
  const referenceMv = 1250;
  const limitMhz = Math.min(5800, Math.max(4600, 5200 + 200 * random.normal()));
  const thresholdMv = random.uniformIn(300, 600);
  const drive = random.uniformIn(1.2, 1.6);
  const slope = (drive * referenceMv) / (referenceMv - thresholdMv) - 1;
  return {
    limitMhz,
    referenceMv,
    thresholdMv,
    drive,
    fixedDelayShare: fixedDelayShare(random, law, slope, limitMhz),
    limitLossPerC: random.uniformIn(0.0005, 0.001),
    hazardWidthMhz: (random.uniformIn(8, 15) * limitMhz) / 5200,
    strayPerMin: 0,
    switchingWPerV2Mhz: 120 / ((referenceMv / 1000) ** 2 * limitMhz),
    leakageW: random.uniformIn(12, 30),
    tempLimitC: 100,
  };
}

function fixedDelayShare(random: SeededRandom, law: DelayLaw, slope: number, limitMhz: number): number {
  if (law === "power") return 0;
  if (law === "mixed") return random.uniformIn(0.2, 0.6);
  const wantedSlope = (random.uniformIn(1000, 1500) * 1.25) / limitMhz;
  return Math.max(0, 1 - wantedSlope / slope);
}

/** Some bench with some chip on it, in a room of 23 °C. */
export function drawnBench(random: SeededRandom, law: DelayLaw = "power"): SimulatedBench {
  return {
    chip: drawnChip(random, law),
    board: { loadLineMilliohm: 0, clockLossMhz: 0, supplyRiseCPerW: 0.3 },
    cooling: {
      resistanceCPerW: random.uniformIn(0.22, 0.38),
      mountFactor: 1,
      fastShare: random.uniformIn(0.5, 0.7),
      fastS: random.uniformIn(5, 20),
      slowS: random.uniformIn(120, 300),
    },
    fans: { idleRpm: 600, fullRpm: 1800, fromC: 45, toC: 85, fullDba: 42 },
    room: { ambientC: 23, driftCPerH: 0, backgroundDba: 27 },
    sensor: { stepC: 1, noiseC: 0.5, noiseTimeS: 12 },
    runScatter: 0.008,
  };
}

export function steadyHazardPerMin(
  bench: SimulatedBench,
  setting: SimulatedSetting,
  workload: SimulatedWorkload,
): number {
  const steady = steadyStateOf(bench, setting, workload);
  return hazardPerMinAt(bench, setting, workload, steady.loadVoltageMv, steady.tempC);
}

/** Nine in ten one-hour runs. */
const benchmarkTarget = { chance: 0.9, hours: 1 } as const;

/** The true clock that just meets a target once everything has levelled out: what the answers try to find. */
export function acceptableClockMhz(
  bench: SimulatedBench,
  voltageMv: number,
  workload: SimulatedWorkload = allCoreLoad,
  target: Readonly<{ chance: number; hours: number }> = benchmarkTarget,
): number {
  const allowedPerMin = -Math.log(target.chance) / (60 * target.hours);
  let low = 100;
  let high = 20_000;
  for (let round = 0; round < 45; round++) {
    const clockMhz = (low + high) / 2;
    if (steadyHazardPerMin(bench, { clockMhz, voltageMv }, workload) > allowedPerMin) high = clockMhz;
    else low = clockMhz;
  }
  return low;
}
