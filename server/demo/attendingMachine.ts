import type { Machine } from "../attend/attendant.ts";
import type { Exit } from "../attend/ending.ts";
import type { Load, LoadFor } from "../attend/load.ts";
import { type MachineReading, nothingRead } from "../attend/reading.ts";
import type { Outcome } from "../bench/things/outcome.ts";
import type { SeededRandom } from "../numerics/seededRandom.ts";
import { runAttempt } from "./simulatedAttempt.ts";
import {
  allCoreLoad,
  type SimulatedBench,
  type SimulatedSetting,
  type SimulatedWorkload,
  steadyStateOf,
} from "./simulatedBench.ts";
import { type TraceRow, traceOf } from "./simulatedTrace.ts";

export type AttendingMachineOf = Readonly<{
  bench: SimulatedBench;
  stock: SimulatedSetting;
  random: SeededRandom;
  /** Seconds of the machine, however fast they pass. */
  nowS(): number;
}>;

export type AttendingMachine = Readonly<{
  machine: Machine;
  /** Where it was set when it started, or its defaults where it did not come up there. */
  at: SimulatedSetting;
  /** True from the moment on at which the whole machine has died. */
  hasDied(): boolean;
}>;

const processors = 8;
const openEndedS = 3600;
const deaths: readonly Outcome[] = ["restart", "freeze", "system-error"];

/** One start of an invented machine: what it is set to, what its sensors read, and how its load fares. */
export function attendingMachine(
  of: AttendingMachineOf,
  boot: number,
  wanted: SimulatedSetting,
): AttendingMachine {
  const { bench, stock, nowS } = of;
  const at = comesUp(of, wanted) ? wanted : stock;
  let run: SimulatedRun | null = null;
  const machine: Machine = {
    bootId: `invented-${boot}`,
    processors,
    nowS,
    sleptS: () => 0,
    memoryKills: () => null,
    readings: {
      canRead: ["temperature: invented", "power: invented", "clock: invented", "voltage: invented"],
      cannotRead: [],
      read: () => run?.reading() ?? restingAt(bench, at),
    },
    startLoad: (what) => {
      run = simulatedRun(
        of,
        { clockMhz: what.clockMhz ?? at.clockMhz, voltageMv: what.voltageMv ?? at.voltageMv },
        what,
      );
      return run.load;
    },
    endOrphans: () => 0,
    recordOfDeath: () => null,
    kernelWords: () => [],
  };
  return { machine, at, hasDied: () => run?.hasDied() === true };
}

const comesUp = ({ bench, random }: AttendingMachineOf, setting: SimulatedSetting): boolean =>
  !["no-start", "fell-back"].includes(runAttempt(bench, setting, allCoreLoad, 1, random).outcome);

function restingAt(bench: SimulatedBench, { clockMhz, voltageMv }: SimulatedSetting): MachineReading {
  const idle = steadyStateOf(bench, { clockMhz, voltageMv }, { kind: "idle", activity: 0.06, liftMhz: 600 });
  return {
    ...nothingRead,
    tempC: Math.round(idle.tempC),
    powerW: Math.round(idle.powerW),
    voltageMv: Math.round(idle.loadVoltageMv),
    clockMhz,
  };
}

type SimulatedRun = Readonly<{ load: Load; reading(): MachineReading; hasDied(): boolean }>;

function simulatedRun(of: AttendingMachineOf, setting: SimulatedSetting, what: LoadFor): SimulatedRun {
  const { bench, random, nowS } = of;
  const workload: SimulatedWorkload = { ...allCoreLoad, kind: what.workloadKind };
  const plannedS = what.plannedS ?? openEndedS;
  const startedS = nowS();
  const attempt = firstThatStarts(() => runAttempt(bench, setting, workload, plannedS, random));
  const rows = traceOf(bench, setting, workload, attempt, { beforeS: 0, afterS: 0 }, random);
  const isDeath = deaths.includes(attempt.outcome);
  let askedAtS: number | null = null;
  let [killed, printedS] = [false, 0];
  const ranS = () => nowS() - startedS;
  const failed = (): boolean => attempt.failedAtS !== null && ranS() >= attempt.durationS;
  const exit = (): Exit | null => {
    if (killed) return { signal: "SIGKILL" };
    if (attempt.outcome === "app-closed" && failed()) return { signal: "SIGSEGV" };
    if (askedAtS === null || ranS() < askedAtS + 1) return null;
    return attempt.outcome === "wrong-result" ? { code: 1 } : { signal: "SIGTERM" };
  };
  const load: Load = {
    exit,
    printed: () => {
      let text = "";
      for (; printedS + 30 <= ranS(); printedS += 30)
        text += `stacked ${Math.round(printedS / 30) + 1} frames\n`;
      return text;
    },
    threads: () => new Map(Array.from({ length: processors }, (_, thread) => [thread + 1, ranS()] as const)),
    ask: () => {
      askedAtS ??= ranS();
    },
    kill: () => {
      killed = true;
    },
    isGone: () => exit() !== null,
    escaped: () => [],
  };
  return {
    load,
    reading: () => readingOf(rows[Math.min(Math.ceil(attempt.durationS) - 1, Math.floor(ranS()))]),
    hasDied: () => isDeath && askedAtS === null && failed(),
  };
}

/** It came up, so it starts under load too. */
function firstThatStarts(draw: () => ReturnType<typeof runAttempt>): ReturnType<typeof runAttempt> {
  let attempt = draw();
  for (let tries = 0; tries < 50 && attempt.durationS === 0; tries++) attempt = draw();
  return attempt;
}

const readingOf = (row: TraceRow | undefined): MachineReading =>
  row === undefined
    ? nothingRead
    : {
        ...nothingRead,
        tempC: row.tempC,
        powerW: row.powerW,
        voltageMv: row.voltageMv,
        clockMhz: row.clockMhz,
        fans: { front: row.fanRpm },
      };
