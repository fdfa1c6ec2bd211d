import { studentQuantile } from "../../numerics/distributions.ts";
import type { HeatCycle } from "./heatCycle.ts";
import type { HeatLevel } from "./heatReading.ts";
import { between, firstAtOrAfter, meanOf, type TimedValues } from "./heatTrace.ts";
import type { Span } from "./spans.ts";

const fewestCycles = 3;

/** The mean over whole cycles at the end of a run, as many as the usual window holds and three at least; each cycle's mean is one reading. */
export function cycleLevel(
  sound: TimedValues,
  cycle: HeatCycle,
  load: Span,
  windowS: number,
): HeatLevel | null {
  const cycles = Math.max(fewestCycles, Math.floor(windowS / cycle.periodS));
  const fromS = load.toS - cycles * cycle.periodS;
  if (fromS < load.fromS) return null;
  const means = Array.from({ length: cycles }, (_, i) => {
    const start = firstAtOrAfter(sound.t, fromS + i * cycle.periodS);
    const end = firstAtOrAfter(sound.t, fromS + (i + 1) * cycle.periodS);
    return meanOf(sound.values.subarray(start, end)) ?? Number.NaN;
  }).filter(Number.isFinite);
  const meanC = meanOf(means);
  if (meanC === undefined || means.length < fewestCycles) return null;
  const variance = means.reduce((sum, value) => sum + (value - meanC) ** 2, 0) / (means.length - 1);
  const half = (studentQuantile(0.975, means.length - 1) ?? 0) * Math.sqrt(variance / means.length);
  return {
    meanC,
    lowC: meanC - half,
    highC: meanC + half,
    windowS: cycles * cycle.periodS,
    samples: between(sound, fromS, load.toS).values.length,
    independent: means.length,
  };
}
