import { loadTempForecast } from "../../server/bench/heat/lawOfHeat.ts";
import type { EvidenceRow } from "../../server/bench/things/evidenceRow.ts";
import { type SeededRandom, seededRandom } from "../../server/numerics/seededRandom.ts";
import { evidenceRow, testChip } from "./evidenceRows.ts";
import { type LeakyBuild, leakyBuild, leakyPowerW, leakySteadyC, type Setting } from "./leakyBuild.ts";

/** How far beyond what was tried a forecast is asked, and on which mount. */
export const heatSteps = {
  "+50 mV, +150 MHz": { millivolts: 50, clockWords: 150, newMount: false },
  "+100 mV, +300 MHz": { millivolts: 100, clockWords: 300, newMount: false },
  "+50 mV, +150 MHz, put on anew": { millivolts: 50, clockWords: 150, newMount: true },
} as const;
export type HeatStep = keyof typeof heatSteps;

export type HeatHeld = Readonly<{ asked: number; held: number; tooHot: number; halfWidthC: number }>;

/** How often the 90 % interval holds the next levelled reading over builds whose leakage grows; power read or not. */
export function leakyHeatHeld(
  step: HeatStep,
  asked: Readonly<{ builds: number; seed: number; withPower: boolean }>,
): HeatHeld {
  let [held, tooHot, width] = [0, 0, 0];
  for (let i = 0; i < asked.builds; i++) {
    const random = seededRandom(asked.seed + i);
    const build = leakyBuild(random);
    const { rows, next, nextC } = benchDay(build, step, random);
    const known = asked.withPower ? rows : rows.map((row) => ({ ...row, powerW: null, powerAt: null }));
    const forecast = loadTempForecast(known, {
      chip: testChip(),
      clockMhz: next.clockMhz,
      voltageMv: 1000 * next.volts,
      workloadId: "all-core",
      ambientC: 23,
      mountId: heatSteps[step].newMount ? "mount-new" : "mount-1",
    });
    if ("unknown" in forecast) throw new Error(forecast.unknown);
    if (forecast.low <= nextC && nextC <= forecast.high) held += 1;
    if (nextC > forecast.high) tooHot += 1;
    width += (forecast.high - forecast.low) / 2;
  }
  return { asked: asked.builds, held, tooHot, halfWidthC: width / asked.builds };
}

const mountShare = (random: SeededRandom): number => 1 + 0.04 * random.normal();

/** Three to eight runs at three or four voltages on two mounts, then the one that is asked about. */
function benchDay(
  build: LeakyBuild,
  step: HeatStep,
  random: SeededRandom,
): Readonly<{ rows: EvidenceRow[]; next: Setting; nextC: number }> {
  const mounts = [mountShare(random), mountShare(random)];
  const startV = 1.1 + 0.0125 * random.index(5);
  const tried = Array.from({ length: 3 + random.index(6) }, (_, n): Setting => {
    const volts = startV + 0.025 * (n % 4);
    return { volts, clockMhz: 25 * Math.round((4350 + 3000 * (volts - 1.1) + 60 * random.normal()) / 25) };
  });
  const rows = tried.map((setting, n) => {
    const mount = n < tried.length / 2 ? 0 : 1;
    const ambientC = 23 + 1.5 * random.normal();
    const steadyC = leakySteadyC(build, setting, ambientC, mounts[mount]! * runShare(random));
    return evidenceRow({
      clockMhz: setting.clockMhz,
      voltageMv: 1000 * setting.volts,
      mountId: `mount-${mount}`,
      durationS: 1800,
      ambientC: Math.round(10 * ambientC) / 10,
      loadTempC: Math.round(steadyC + 0.5 * random.normal()),
      powerW: Math.round(leakyPowerW(build, setting, steadyC) * (1 + 0.008 * random.normal())),
      powerAt: "chip",
    });
  });
  const { millivolts, clockWords, newMount } = heatSteps[step];
  const next = {
    volts: Math.max(...tried.map(({ volts }) => volts)) + millivolts / 1000,
    clockMhz: Math.max(...tried.map(({ clockMhz }) => clockMhz)) + clockWords,
  };
  const mount = newMount ? mountShare(random) : mounts[1]!;
  const nextC = leakySteadyC(build, next, 23, mount * runShare(random)) + 0.5 * random.normal();
  return { rows, next, nextC: Math.round(nextC) };
}

const runShare = (random: SeededRandom): number => 1 + 0.01 * random.normal();
