import type { Outcome } from "../bench/things/outcome.ts";

/** How a run ended, and why, in words for its page. */
export type Ending = Readonly<{ outcome: Outcome; because: string }>;

/** How the load itself came to its end. */
export type Exit =
  | Readonly<{ code: number }>
  | Readonly<{ signal: string }>
  /** It could not be started at all. */
  | Readonly<{ notStarted: string }>;

export type ExitMeanings = ReadonlyMap<number, Outcome>;

export type ExitSeen = Readonly<{
  exit: Exit;
  /** Seconds since the load was started. */
  ranS: number;
  /** Whether the load was proved here before, in this run or an earlier one. */
  hasWorked: boolean;
  /** Whether the kernel has ended a process for want of memory meanwhile. */
  memoryRanOut: boolean;
  meanings: ExitMeanings;
}>;

/** A load that fails so early, and was never seen to work here, says more of its command than of the clock. */
const earlyS = 5;

const faults: Readonly<Record<string, string>> = {
  SIGSEGV: "a segmentation fault",
  SIGILL: "an illegal instruction",
  SIGBUS: "a bus error",
};

/** A shell that waited for the load passes its signal on as 128 and the number (POSIX, shell exit status). */
const shellSignals: Readonly<Record<number, string>> = {
  129: "SIGHUP",
  130: "SIGINT",
  132: "SIGILL",
  135: "SIGBUS",
  137: "SIGKILL",
  139: "SIGSEGV",
  143: "SIGTERM",
};

const signalOf = (exit: Exit): string | null =>
  "signal" in exit ? exit.signal : "code" in exit ? (shellSignals[exit.code] ?? null) : null;

/** What it means that the load ended before anybody asked it to. */
export function endingOfExit({ exit, ranS, hasWorked, memoryRanOut, meanings }: ExitSeen): Ending {
  if ("notStarted" in exit)
    return { outcome: "disturbed", because: `The load could not be started: ${exit.notStarted}.` };
  const said = "code" in exit ? meanings.get(exit.code) : undefined;
  const words = exitWords(exit);
  if ("code" in exit && exit.code === 0 && said === undefined)
    return { outcome: "stopped", because: "The load ended by itself before its time." };
  if ("code" in exit && (exit.code === 126 || exit.code === 127) && said === undefined)
    return { outcome: "disturbed", because: `The command was not found or may not be run (${words}).` };
  if (ranS < earlyS && !hasWorked)
    return {
      outcome: "disturbed",
      because: `The load failed in its first ${earlyS} s (${words}) and was never seen to work here.`,
    };
  if (said !== undefined) return { outcome: said, because: `The load ended with ${words}.` };
  const signal = signalOf(exit);
  const fault = signal === null ? undefined : faults[signal];
  if (fault !== undefined) return { outcome: "app-closed", because: `The load died of ${fault}.` };
  if (memoryRanOut) return { outcome: "disturbed", because: "The machine ran out of memory." };
  if (signal !== null)
    return { outcome: "disturbed", because: `The load was ended from elsewhere (${words}).` };
  return { outcome: "disturbed", because: `The load ended with ${words}, which nothing gives a meaning.` };
}

/** What its exit says against a load that was asked to end; null where it ended in good order. */
export function faultOfAsked(exit: Exit, meanings: ExitMeanings): Ending | null {
  const words = exitWords(exit);
  const said = "code" in exit ? meanings.get(exit.code) : undefined;
  if (said !== undefined) return { outcome: said, because: `Asked to end, the load gave ${words}.` };
  if (endedInGoodOrder(exit)) return null;
  const unasked = endingOfExit({ exit, ranS: earlyS, hasWorked: true, memoryRanOut: false, meanings });
  return unasked.outcome === "app-closed"
    ? unasked
    : { outcome: "stopped", because: `Asked to end, the load gave ${words}; that is no pass.` };
}

const exitWords = (exit: Exit): string =>
  "code" in exit ? `exit ${exit.code}` : "signal" in exit ? exit.signal : exit.notStarted;

const endedInGoodOrder = (exit: Exit): boolean =>
  ("code" in exit && exit.code === 0) || ["SIGTERM", "SIGINT", "SIGKILL"].includes(signalOf(exit) ?? "");
