import type { NoiseReading } from "../bench/noise/noiseReading.ts";
import type { Attempt } from "../bench/things/attempt.ts";
import type { Board } from "../bench/things/board.ts";
import type { Build, Mount } from "../bench/things/build.ts";
import type { Chip } from "../bench/things/chip.ts";
import type { Rule } from "../bench/things/rule.ts";
import type { Workload } from "../bench/things/workload.ts";
import { seededRandom } from "../numerics/seededRandom.ts";
import { type BenchDays, benchDays } from "./benchDays.ts";
import { demoLoads } from "./demoBenches.ts";
import type { SetAttempt } from "./intent.ts";
import { loggedEvening } from "./loggedEvening.ts";
import { rounded } from "./simulatedAttempt.ts";
import { type TraceRow, traceCsv, traceOf } from "./simulatedTrace.ts";
import { spareSample } from "./spareSample.ts";

/**
 * A small observatory chooses a board for its image-stacking machines: one chip on two boards, on an open frame and in
 * the equipment cupboard where it will live. People, makers and parts are invented.
 */
export type DemoScenario = Omit<Scenario, "attempts"> & Readonly<{ attempts: readonly SetAttempt[] }>;

/** Invented things, ready to be written into a journal. */
export type Scenario = Readonly<{
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
const demoSeed = 222;

/** The scenario, and the sensor traces that were kept of it, made only when asked for. */
export type DemoBench = Readonly<{
  scenario: DemoScenario;
  /** A second sample of the chip, whose limit is still looked for. */
  spare: DemoScenario;
  /** An evening whose logs tell what nobody saw. */
  logged: DemoScenario;
  traces(): readonly DemoTrace[];
  loggedTraces(): readonly DemoTrace[];
}>;
type DemoTrace = Readonly<{ attemptId: string; startedAt: string; rows: readonly TraceRow[] }>;

export const demoScenario = (now: string, seed = demoSeed): DemoScenario => demoBench(now, seed).scenario;

export function demoBench(now: string, seed = demoSeed): DemoBench {
  const days = benchDays(now, seed);
  const { parts, builds, mounts, entries, noise } = days;
  const scenario = {
    chips: [parts.chip],
    boards: Object.values(parts.boards),
    workloads: Object.values(parts.workloads),
    rules: parts.rules,
    builds,
    mounts,
    attempts: entries.map((entry) => (isLogged(entry, parts) ? withTraceFigures(entry) : entry.attempt)),
    noise,
  };
  const evening = loggedEvening(now, seed, parts);
  return {
    scenario,
    spare: spareSample(now, seed, parts),
    logged: evening.scenario,
    traces: () => tracesOf(days, seed),
    loggedTraces: evening.traces,
  };
}

const idleBeforeS = 180;
const idleAfterS = 240;

type Entry = BenchDays["entries"][number];

/** Each build's load at stock, and every proof of an hour. */
const isLogged = ({ attempt }: Entry, { workloads }: BenchDays["parts"]): boolean =>
  attempt.workloadId === workloads.stacking.id &&
  (attempt.tags.includes("heat run") || (attempt.tags.includes("proof") && attempt.plannedS === 3600));

/** What nobody wrote down of a run that crashed, its log still tells. */
function withTraceFigures({ attempt, run }: Entry): SetAttempt {
  const { loadTempC, peakTempC, ambientC } = attempt;
  if (loadTempC !== null || run.loadTempC === null || run.durationS < 900) return attempt;
  const read = rounded(run.loadTempC, 0.1);
  return {
    ...attempt,
    ambientC: ambientC ?? run.ambientC,
    loadTempC: read,
    peakTempC: peakTempC === null ? null : Math.max(peakTempC, read),
  };
}

/** With the idle minutes on either side. */
function tracesOf({ parts, entries }: BenchDays, seed: number): readonly DemoTrace[] {
  const logged = entries.filter((entry) => isLogged(entry, parts));
  return logged.map(({ attempt, run, bench }, index) => {
    const random = seededRandom(seed + 1000 + index);
    const span = { beforeS: idleBeforeS, afterS: idleAfterS };
    const startedAt = new Date(Date.parse(attempt.startedAt) - 1000 * idleBeforeS).toISOString();
    return {
      attemptId: attempt.id,
      startedAt,
      rows: traceOf(bench, attempt, demoLoads.stacking, run, span, random),
    };
  });
}

export type DemoHeatRun = Readonly<{ attemptId: string; csv: string }>;

/** The same traces as the sensor logs they were read from. */
export const demoHeatRuns = (now: string, seed = demoSeed): readonly DemoHeatRun[] =>
  demoBench(now, seed)
    .traces()
    .map(({ attemptId, rows }) => ({ attemptId, csv: traceCsv(rows) }));
