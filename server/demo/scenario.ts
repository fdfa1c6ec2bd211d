import type { Attempt } from "../bench/attempt.ts";
import type { Board } from "../bench/board.ts";
import type { Build, Mount } from "../bench/build.ts";
import type { Chip } from "../bench/chip.ts";
import type { NoiseReading } from "../bench/noiseReading.ts";
import type { Rule } from "../bench/rule.ts";
import type { Workload } from "../bench/workload.ts";
import { seededRandom } from "../numerics/seededRandom.ts";
import { benchDays } from "./benchDays.ts";
import { demoLoads } from "./demoBenches.ts";
import { traceCsv, traceOf } from "./simulatedTrace.ts";

/**
 * A small observatory chooses a board for its image-stacking machines: one chip on two boards, on an open frame and in
 * the equipment cupboard where it will live. People, makers and parts are invented.
 */
export type DemoScenario = Readonly<{
  chips: readonly Chip[];
  boards: readonly Board[];
  workloads: readonly Workload[];
  rules: readonly Rule[];
  builds: readonly Build[];
  mounts: readonly Mount[];
  attempts: readonly Attempt[];
  noise: readonly NoiseReading[];
}>;

/** A seed whose three days hold everything worth showing. */
export const demoSeed = 222;

export function demoScenario(now: string, seed = demoSeed): DemoScenario {
  const { parts, builds, mounts, entries, noise } = benchDays(now, seed);
  return {
    chips: [parts.chip],
    boards: Object.values(parts.boards),
    workloads: Object.values(parts.workloads),
    rules: parts.rules,
    builds,
    mounts,
    attempts: entries.map(({ attempt }) => attempt),
    noise,
  };
}

export type DemoHeatRun = Readonly<{ attemptId: string; csv: string }>;

/** The sensor logs that were kept: each build's load at stock, and every proof of an hour. */
export function demoHeatRuns(now: string, seed = demoSeed): readonly DemoHeatRun[] {
  const { parts, entries } = benchDays(now, seed);
  const { stacking } = parts.workloads;
  const logged = entries.filter(
    ({ attempt }) =>
      attempt.workloadId === stacking.id &&
      (attempt.tags.includes("heat run") || (attempt.tags.includes("proof") && attempt.plannedS === 3600)),
  );
  return logged.map(({ attempt, run, bench }, index) => {
    const random = seededRandom(seed + 1000 + index);
    const rows = traceOf(bench, attempt, demoLoads.stacking, run, { beforeS: 180, afterS: 240 }, random);
    return { attemptId: attempt.id, csv: traceCsv(rows) };
  });
}
