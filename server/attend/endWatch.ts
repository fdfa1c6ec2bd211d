import type { WorkloadKind } from "../bench/things/workload.ts";
import type { Expected } from "./earlier.ts";
import { type Ending, type Exit, type ExitMeanings, endingOfExit, faultOfAsked } from "./ending.ts";
import { heatWatch, type StopLimits } from "./heatWatch.ts";
import type { Load } from "./load.ts";
import { loadProof } from "./loadProof.ts";
import type { MachineReading } from "./reading.ts";

export type EndWatchOf = Readonly<{
  load: Load;
  workloadKind: WorkloadKind;
  processors: number;
  expected: Expected;
  heat: StopLimits;
  meanings: ExitMeanings;
  progress: RegExp | null;
  wrong: RegExp | null;
  /** Seconds this machine has slept since the run began. */
  sleptS(): number;
  memoryKills(): number | null;
}>;

/** What is known of one second of a run. */
type SecondSeen = Readonly<{
  t: number;
  reading: MachineReading;
  /** Whole lines that the load printed meanwhile. */
  lines: readonly string[];
  exit: Exit | null;
  /** When the load was asked to end, its time being over; null until then. */
  askedAtS: number | null;
}>;

/** Tells, second by second, whether a run has ended, and of what. */
export type EndWatch = Readonly<{
  /** The first of the things that end it; a wrong line before all others. */
  look(second: SecondSeen): Ending | null;
  /** Whether the load was at work when that was last looked at. */
  isProved(): boolean;
}>;

/** Asked to end at the planned time, a load may take so long for its last check. */
const lastCheckS = 30;
const threadsEveryS = 10;
const sleptTooLongS = 2;

export function endWatch(of: EndWatchOf): EndWatch {
  const { load, meanings } = of;
  const heat = heatWatch(of.heat);
  const progress = progressWatch(of.progress);
  const killsBefore = of.memoryKills();
  const proof = loadProof({
    kind: of.workloadKind,
    processors: of.processors,
    expected: of.expected,
    wantsProgress: of.progress !== null,
  });
  let [threads, threadsAtS] = [load.threads(), 0];
  let wasProved = false;

  function look(second: SecondSeen): Ending | null {
    const { t, lines, reading } = second;
    progress.look(t, lines);
    return wrongLine(lines) ?? slept() ?? heat(t, reading) ?? endOfLoad(second);
  }

  function wrongLine(lines: readonly string[]): Ending | null {
    const line = lines.find((one) => of.wrong?.test(one));
    if (line === undefined) return null;
    return { outcome: "wrong-result", because: `The load printed “${line.slice(0, 200)}”.` };
  }

  const slept = (): Ending | null =>
    of.sleptS() > sleptTooLongS ? { outcome: "disturbed", because: "The machine slept meanwhile." } : null;

  function endOfLoad(second: SecondSeen): Ending | null {
    const { t, exit, askedAtS } = second;
    if (askedAtS !== null) return asked(exit, t - askedAtS);
    return exit === null ? stalled(second) : unasked(exit, t);
  }

  /** After it was asked to end: its exit, its last words, and whether it was proved. */
  function asked(exit: Exit | null, sinceS: number): Ending | null {
    if (exit === null && sinceS < lastCheckS) return null;
    const fault = exit === null ? null : faultOfAsked(exit, meanings);
    if (fault !== null) return fault;
    return proof.isProved()
      ? { outcome: "pass", because: "It ran its time." }
      : {
          outcome: "stopped",
          because: `It ran its time, but was not proved to load: ${proof.because()}`,
        };
  }

  const unasked = (exit: Exit, ranS: number): Ending =>
    endingOfExit({
      ...{ exit, ranS, meanings },
      hasWorked: of.expected.hasWorked || wasProved,
      memoryRanOut: (of.memoryKills() ?? 0) > (killsBefore ?? Number.POSITIVE_INFINITY),
    });

  function stalled({ t, reading }: SecondSeen): Ending | null {
    if (t - threadsAtS >= threadsEveryS) [threads, threadsAtS] = [load.threads(), t];
    const found = proof.look({ t, threads, reading, progressedAtS: progress.lastAtS() });
    wasProved ||= proof.isProved();
    return found;
  }

  return { look, isProved: proof.isProved };
}

/** Knows when the load last printed progress that was new. */
function progressWatch(pattern: RegExp | null) {
  let [lastAtS, lastSaid] = [null as number | null, ""];
  return {
    look: (t: number, lines: readonly string[]): void => {
      const last = lines.findLast((line) => pattern?.test(line));
      if (last === undefined) return;
      // A number in brackets that stays the same is no new work; without brackets the line itself is.
      const said = pattern?.exec(last)?.[1] ?? `${last} ${t}`;
      if (said !== lastSaid) [lastAtS, lastSaid] = [t, said];
    },
    /** Null where it printed none. */
    lastAtS: () => lastAtS,
  };
}
