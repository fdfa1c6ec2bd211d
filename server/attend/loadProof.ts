import type { WorkloadKind } from "../bench/things/workload.ts";
import type { Ending } from "./ending.ts";
import type { MachineReading } from "./reading.ts";

/** Processor time of each thread of the load so far, in seconds; null where the system does not tell. */
export type ThreadTimes = ReadonlyMap<number, number> | null;

export type ProofOf = Readonly<{
  kind: WorkloadKind;
  /** Logical processors of the machine. */
  processors: number;
  /** What this load drew, and how warm it was, in earlier attempts; null where none tells. */
  expected: Readonly<{ powerW: number | null; loadTempC: number | null }>;
  /** Whether lines of progress are looked for. */
  wantsProgress: boolean;
}>;

export type ProofMoment = Readonly<{
  t: number;
  threads: ThreadTimes;
  reading: MachineReading;
  /** The last line of progress that was new, by when it was printed; null where none was. */
  progressedAtS: number | null;
}>;

/** What stands against the load at its last look; null while it is proved. */
export type Proof = Readonly<{
  /** Ends the run where nothing was proved for half a minute. */
  look(moment: ProofMoment): Ending | null;
  /** True once every look of the last half minute but the first proved it. */
  isProved(): boolean;
  /** The last thing that was wrong. */
  because(): string | null;
}>;

const everyS = 10;
const patienceS = 30;
const busyShare = 0.5;
const fullShare = 0.95;
/** Power follows clock and voltage closely; temperature also the room. */
const powerBand = 0.3;
const warmAfterS = 60;
const leastRiseShare = 0.35;

/** How loads of each kind work: on every processor, on some without a pause, or with pauses by their nature. */
export const waysOfWork: Readonly<Record<WorkloadKind, "on all" | "on some" | "with pauses">> = {
  "all-core": "on all",
  vector: "on all",
  memory: "on all",
  "single-core": "on some",
  idle: "with pauses",
  everyday: "with pauses",
  transition: "with pauses",
  graphics: "with pauses",
  mixed: "with pauses",
};

const pauses = (kind: WorkloadKind): boolean => waysOfWork[kind] === "with pauses";

export function loadProof(of: ProofOf): Proof {
  const threads = threadProof(of);
  let firstC: number | null = null;
  let lookedAtS = 0;
  let provedAtS = 0;
  let looks = 0;
  let wrong: string | null = "It has not run for ten seconds yet.";
  return {
    look: (moment) => {
      firstC ??= moment.reading.tempC;
      if (moment.t - lookedAtS < everyS) return null;
      const spanS = moment.t - lookedAtS;
      lookedAtS = moment.t;
      looks += 1;
      wrong =
        progressWrong(of, moment) ??
        threads(moment.threads, spanS) ??
        powerWrong(of, moment.reading) ??
        warmthWrong(of, moment, firstC);
      if (wrong === null) provedAtS = moment.t;
      if (moment.t - provedAtS < patienceS) return null;
      return { outcome: "load-stalled", because: wrong ?? "The load was not proved." };
    },
    isProved: () => looks > 0 && wrong === null,
    because: () => wrong,
  };
}

function progressWrong({ wantsProgress, kind }: ProofOf, { t, progressedAtS }: ProofMoment): string | null {
  if (wantsProgress)
    return progressedAtS !== null && t - progressedAtS <= patienceS ? null : "The load printed no new work.";
  return kind === "graphics"
    ? "A graphics load is proved by its progress alone; name it with --progress."
    : null;
}

/** The threads at work so far set how many have to be: a load that falls back to one of them is seen. */
function threadProof({ kind, processors }: ProofOf) {
  let before: ReadonlyMap<number, number> = new Map();
  let wanted = waysOfWork[kind] === "on all" ? Math.max(1, Math.floor(processors / 2)) : 1;
  return (now: ThreadTimes, spanS: number): string | null => {
    if (now === null || pauses(kind)) return null;
    const shares = [...now].map(([thread, cpuS]) => (cpuS - (before.get(thread) ?? 0)) / spanS);
    before = now;
    const busy = shares.filter((share) => share >= busyShare).length;
    wanted = Math.max(wanted, Math.min(busy, processors));
    const whole = shares.reduce((sum, share) => sum + share, 0);
    if (whole >= fullShare * wanted) return null;
    return `The load kept ${whole.toFixed(1)} of ${wanted} threads busy.`;
  };
}

function powerWrong({ expected: { powerW }, kind }: ProofOf, reading: MachineReading): string | null {
  if (powerW === null || reading.powerW === null || pauses(kind)) return null;
  const share = reading.powerW / powerW;
  return share >= 1 - powerBand && share <= 1 / (1 - powerBand)
    ? null
    : `It drew ${Math.round(reading.powerW)} W, and ${Math.round(powerW)} W were to be expected of this load.`;
}

/** Only where power cannot be read: the room, and how long it has run, leave much open. */
function warmthWrong(
  { expected, kind }: ProofOf,
  { t, reading: { tempC, powerW } }: ProofMoment,
  firstC: number | null,
): string | null {
  const { loadTempC } = expected;
  if (t < warmAfterS || tempC === null || firstC === null || loadTempC === null) return null;
  if ((powerW !== null && expected.powerW !== null) || pauses(kind)) return null;
  const least = firstC + leastRiseShare * (loadTempC - firstC);
  return tempC >= least ? null : `It stayed at ${Math.round(tempC)} °C, too cool for this load.`;
}
