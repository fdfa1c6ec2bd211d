import { usualAssumptions } from "../../server/bench/comparison/assumptions.ts";
import { type Comparison, comparisonOf } from "../../server/bench/comparison/comparison.ts";
import type { NoiseReading } from "../../server/bench/noise/noiseReading.ts";
import type { ComparedBuild } from "../../server/bench/runs/comparedRun.ts";
import { type SeededRandom, seededRandom } from "../../server/numerics/seededRandom.ts";
import { build, run } from "../bench/comparison/benchDay.ts";
import { pairOf, toldOf } from "./clockPairs.ts";
import type { Simulator } from "./subjects.ts";

const kept = { createdAt: "2031-03-01T10:00:00.000Z", updatedAt: "2031-03-01T10:00:00.000Z", version: 1 };
const tenth = (value: number): number => Math.round(10 * value) / 10;

/** Three mounts with two runs each: mounts scatter by 0.8 °C, runs by 0.4 °C, 0.6 W, 0.5 % of score and 12 rpm. */
function measuredBuild(name: string, random: SeededRandom): ComparedBuild {
  const runs = Array.from({ length: 3 }, (_, mount) => {
    const mountC = 0.8 * random.normal();
    return Array.from({ length: 2 }, (__, repeat) => {
      const ambientC = tenth(random.uniformIn(20, 24));
      return run({
        id: `${name}-${mount}-${repeat}`,
        mountId: `${name}-${mount}`,
        ambientC,
        loadTempC: tenth(ambientC + 52 + mountC + 0.4 * random.normal()),
        peakTempC: tenth(ambientC + 55 + mountC + 0.6 * random.normal()),
        powerW: tenth(142 + 0.6 * random.normal()),
        powerAt: "chip",
        fanRpm: Math.round(1250 + 12 * random.normal()),
        score: tenth(840 * (1 + 0.005 * random.normal())),
      });
    });
  }).flat();
  return build(name, runs);
}

/** Three readings on a day each, the meter put up anew within a decibel, four levels one after another. */
const readings = (buildId: string, random: SeededRandom): NoiseReading[] =>
  Array.from({ length: 3 }, (_, n) => {
    const place = random.uniformIn(-1, 1);
    return {
      ...kept,
      id: `${buildId}-${n}`,
      buildId,
      workloadId: "all-core",
      clockMhz: null,
      voltageMv: null,
      distanceM: 0.5,
      levelsDba: Array.from({ length: 4 }, () => tenth(41 + place + 0.3 * random.normal())),
      backgroundDba: 24,
      takenAt: `2031-03-0${n + 1}T10:00:00.000Z`,
      note: "",
    };
  });

/** Two builds that are alike in everything, each tried 36 times for its clock and measured on three mounts. */
function alikeComparison(seed: number, index: number, simulator: Simulator): Comparison {
  const { found } = toldOf(pairOf(seed, index, 0, simulator), simulator);
  const random = seededRandom(seed + 700_000 + index);
  return comparisonOf({
    a: measuredBuild("a", random),
    b: measuredBuild("b", random),
    others: [],
    idleWorkloadIds: new Set(),
    assumptions: usualAssumptions,
    clocks: { a: [], b: [], apart: found },
    loadVoltages: null,
    noise: [readings("a", random), readings("b", random)],
  });
}

export type AlikeFigures = Readonly<{ pairs: number; together: number; alone: number }>;

/** How many comparisons of alike builds claim any difference: in their sentence, and in any row judged by itself. */
export function alikeFigures(
  asked: Readonly<{ pairs: number; seed: number; simulator: Simulator }>,
): AlikeFigures {
  let [together, alone] = [0, 0];
  for (let index = 0; index < asked.pairs; index++) {
    const compared = alikeComparison(asked.seed, index, asked.simulator);
    const rows = [compared.clock, ...compared.sameSetting, ...compared.noise, ...compared.score];
    if (compared.together.some(({ verdict }) => verdict === "differs")) together += 1;
    if (rows.some(({ verdict }) => verdict === "differs")) alone += 1;
  }
  return { pairs: asked.pairs, together, alone };
}
