import type { Attempt } from "../bench/things/attempt.ts";
import { isCrash, neverStarted } from "../bench/things/outcome.ts";
import type { Setting } from "../bench/things/setting.ts";
import type { Kept } from "../bench/things/thing.ts";
import type { Workload } from "../bench/things/workload.ts";
import type { SeededRandom } from "../numerics/seededRandom.ts";
import type { Intent } from "./intent.ts";
import { rounded, type SimulatedAttempt } from "./simulatedAttempt.ts";

type Written = Omit<Attempt, keyof Kept | "buildId" | "mountId" | "asBuilt" | "startedAt" | "note"> & Setting;

/** What nobody wrote down of a chip that is set by clock and voltage. */
const notWritten = {
  offset: null,
  offsets: null,
  part: null,
  crashPart: null,
  knobs: null,
  settingReadBack: null,
  freshBoot: null,
  training: null,
  starts: null,
  cycles: null,
  coveragePct: null,
  errors: [],
  temps: null,
  lowestTempC: null,
  correctedErrorsAt: null,
  toldBy: null,
  loadProved: null,
  bootId: null,
} as const;

/** What a tester writes down of a run: nearly all of a quiet one, little of one that went black. */
export function asWritten(
  run: SimulatedAttempt,
  workload: Workload,
  intent: Intent,
  cold: boolean,
  random: SeededRandom,
): Written {
  const often = <Value>(chance: number, value: Value): Value | null =>
    random.uniform() < chance ? value : null;
  const calm = !isCrash(run.outcome);
  const durationS = calm ? run.durationS : stopwatchS(run, random);
  const seen = durationS >= 60;
  return {
    workloadId: workload.id,
    clockMhz: intent.clockMhz,
    voltageMv: intent.voltageMv,
    outcome: run.outcome,
    durationS,
    plannedS: often(calm ? 0.95 : 0.85, intent.minutes * 60),
    ambientC: often(calm ? 0.9 : 0.6, run.ambientC),
    loadTempC: calm && seen ? often(0.96, run.loadTempC) : null,
    peakTempC: seen ? often(calm ? 0.85 : 0.6, run.peakTempC) : null,
    startTempC: often(0.25, run.startTempC),
    supplyTempC: calm && durationS >= 600 ? often(0.5, run.supplyTempC) : null,
    ...voltageWritten(run, seen, often(calm ? 0.75 : 0.3, true)),
    ...powerWritten(run, calm && seen, often(0.8, true)),
    fanRpm: calm && seen ? often(0.4, run.fanRpm) : null,
    fanMode: often(0.2, "quiet curve"),
    effectiveClockMhz:
      calm && seen ? often(0.2, rounded(intent.clockMhz * (1 - 0.0006 * random.uniform()), 0.1)) : null,
    throttled: calm && seen ? often(0.15, false) : null,
    correctedErrors: calm && durationS >= 1800 ? often(0.6, 0) : null,
    startKind: cold ? "cold" : often(0.4, "warm" as const),
    clockMode: often(0.3, "fixed" as const),
    alsoSet: [],
    score: scoreWritten(run, workload, intent, random),
    tags: intent.proof ? ["proof"] : [],
    failedFromS: null,
    failedToS: null,
    aboveCeiling: false,
    ...notWritten,
    setAside: null,
  };
}

/** Crashes are read off a stopwatch, now and then off the wall clock. */
function stopwatchS(run: SimulatedAttempt, random: SeededRandom): number {
  if (neverStarted(run.outcome)) return 0;
  const step = random.uniform() < 0.25 && run.durationS > 90 ? 30 : 1;
  return Math.max(1, rounded(run.durationS, step));
}

function voltageWritten(run: SimulatedAttempt, seen: boolean, noted: true | null) {
  const loadVoltageMv = seen && noted ? run.loadVoltageMv : null;
  return {
    loadVoltageMv,
    voltageReadAt: loadVoltageMv === null ? null : ("board" as const),
    loadLine: loadVoltageMv === null ? null : "level 3 of 5",
    currentA: null,
  };
}

function powerWritten(run: SimulatedAttempt, seen: boolean, noted: true | null) {
  const powerW = seen && noted && run.powerW !== null ? rounded(run.powerW, 1) : null;
  return { powerW, powerAt: powerW === null ? null : ("chip" as const) };
}

/** Frames stacked in a minute follow the clock. */
function scoreWritten(
  run: SimulatedAttempt,
  workload: Workload,
  intent: Intent,
  random: SeededRandom,
): number | null {
  if (workload.scoreUnit === null || run.outcome !== "pass" || random.uniform() > 0.6) return null;
  return rounded(intent.clockMhz * 0.0092 * (1 + 0.004 * random.normal()), 0.1);
}
