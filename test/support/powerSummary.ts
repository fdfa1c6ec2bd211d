import { powerAccountOf } from "../../server/bench/power/powerAccount.ts";
import type { RunRow } from "../../server/bench/runs/runRow.ts";
import { type SeededRandom, seededRandom } from "../../server/numerics/seededRandom.ts";
import { run } from "../bench/comparison/benchDay.ts";
import { testWorkload } from "./evidenceRows.ts";
import { triedSettings } from "./leakyBuild.ts";
import { ownLaw, type PowerLaw, steadyC } from "./powerLaws.ts";

type Held = { asked: number; held: number };
export type PowerSummary = Readonly<Record<"switched" | "static" | "efficiency" | "lastStep", Held>>;

const noteIn = (held: Held, truth: number, low: number | null, high: number | null): void => {
  held.asked += 1;
  if (low !== null && high !== null && low <= truth && truth <= high) held.held += 1;
};

/** How often the 95 % ends of each figure hold the truth, over simulated builds read 5 to 14 times. */
export function powerSummary(
  builds: number,
  seed: number,
  lawOf: (random: SeededRandom) => PowerLaw = ownLaw,
): PowerSummary {
  const none = (): Held => ({ asked: 0, held: 0 });
  const summary = { switched: none(), static: none(), efficiency: none(), lastStep: none() };
  for (let i = 0; i < builds; i++) addBuild(summary, seededRandom(seed + i), lawOf);
  return summary;
}

function addBuild(
  summary: PowerSummary,
  random: SeededRandom,
  lawOf: (random: SeededRandom) => PowerLaw,
): void {
  const law = lawOf(random);
  const scatter = random.uniformIn(0.004, 0.015);
  const mount = 1 + 0.04 * random.normal();
  const tried = triedSettings(random, 5 + random.index(10)).map((setting) => ({
    ...setting,
    tempC: steadyC(law, setting, 22 + 1.5 * random.normal(), mount),
  }));
  const runs = tried.map((setting, n): RunRow => {
    const powerW = law.powerW(setting, setting.tempC) * (1 + scatter * random.normal());
    return {
      ...run({ id: `${n}`, mountId: "m", clockMhz: setting.clockMhz, voltageMv: 1000 * setting.volts }),
      loadTempC: Math.round(setting.tempC),
      powerW: Math.round(10 * powerW) / 10,
      voltageReadAt: null,
      loadLine: null,
      tags: [],
    };
  });
  const workloads = new Map([["all-core", testWorkload("all-core")]]);
  const { fit, efficiency, lastStep, lastStepByFit } = powerAccountOf(runs, workloads, {
    corePhases: null,
    phaseRatingA: null,
  });
  if ("unknown" in fit) return;
  if (fit.switchedCapacitanceNf && fit.staticW) {
    const { value: _, ...ends } = fit.switchedCapacitanceNf;
    const { voltageMv, tempC } = fit.staticAt;
    noteIn(summary.switched, 1000 * law.switchedAt(voltageMv / 1000), ends.low, ends.high);
    noteIn(summary.static, law.staticW(voltageMv / 1000, tempC), fit.staticW.low, fit.staticW.high);
  }
  const lowestMv = (clockMhz: number): number =>
    efficiency.find((one) => one.clockMhz === clockMhz)!.voltageMv;
  const wattsAt = (clockMhz: number, voltageMv = lowestMv(clockMhz)): number => {
    const there = tried.filter(
      (one) => one.clockMhz === clockMhz && Math.abs(1000 * one.volts - voltageMv) < 0.01,
    );
    return there.reduce((sum, one) => sum + law.powerW(one, one.tempC), 0) / there.length;
  };
  const best = efficiency.at(-1)!;
  noteIn(
    summary.efficiency,
    best.clockMhz / wattsAt(best.clockMhz, best.voltageMv),
    best.mhzPerWEnds?.[0] ?? null,
    best.mhzPerWEnds?.[1] ?? null,
  );
  if (lastStep && lastStepByFit)
    noteIn(
      summary.lastStep,
      wattsAt(lastStep.toMhz) - wattsAt(lastStep.fromMhz),
      lastStepByFit.low,
      lastStepByFit.high,
    );
}
