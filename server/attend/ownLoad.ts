import { type ChildProcess, spawn } from "node:child_process";
import { markedWith, membersOf, threadTimes } from "../kernel/processes.ts";
import type { Exit } from "./ending.ts";
import { type Guard, guardOf } from "./guard.ts";
import type { Load, LoadFor } from "./load.ts";

export type OwnLoadOf = Readonly<{
  command: readonly string[];
  /** The real process tree: a load is a real process, whatever the sensors are read from. */
  proc: string;
  environment: Readonly<Record<string, string | undefined>>;
}>;

/** What it printed last comes before that it ended; a pipe that a child of it holds open is not waited for longer. */
const lastWordsMs = 500;

/** In the environment of every process of a load, so that those of one run can be found again. */
const markOf = (attemptId: string): string => `RUNGBOOK_RUN=${attemptId}`;

/** Starts the tester's command in a group of its own, watched over by a guard that outlives this process. */
export function startOwnLoad(
  { command, proc, environment }: OwnLoadOf,
  { attemptId }: Pick<LoadFor, "attemptId">,
): Load {
  const [program = "", ...words] = command;
  const [name = "", value = ""] = markOf(attemptId).split("=");
  const child = spawn(program, words, {
    detached: true,
    stdio: ["ignore", "pipe", "pipe"],
    env: { ...environment, [name]: value },
  });
  let exit: Exit | null = null;
  let [printed, isToldWhole] = ["", false];
  let guard: Guard | null = null;
  child.on("error", (error: NodeJS.ErrnoException) => {
    exit ??= {
      notStarted: error.code === "ENOENT" ? `there is no "${program}"` : (error.code ?? error.message),
    };
    isToldWhole = true;
  });
  const toldWhole = (): void => {
    isToldWhole = true;
  };
  child.on("exit", (code, signal) => {
    exit ??= signal === null ? { code: code ?? 0 } : { signal };
    setTimeout(toldWhole, lastWordsMs).unref();
  });
  child.on("close", toldWhole);
  for (const stream of [child.stdout, child.stderr])
    stream.setEncoding("utf8").on("data", (text: string) => {
      printed = (printed + text).slice(-(1 << 20));
    });
  const group = child.pid ?? null;
  if (group !== null) guard = guardOf(group);
  return {
    exit: () => (isToldWhole ? exit : null),
    printed: () => {
      const text = printed;
      printed = "";
      return text;
    },
    threads: () =>
      group === null || process.platform !== "linux"
        ? null
        : threadTimes(
            proc,
            membersOf(proc, group).map(({ pid }) => pid),
          ),
    ask: () => signalled(child, group, "SIGTERM"),
    kill: () => signalled(child, group, "SIGKILL"),
    isGone: () => {
      if (exit === null || (group !== null && isAlive(group))) return false;
      guard?.done();
      return true;
    },
    escaped: () =>
      markedWith(proc, markOf(attemptId))
        .filter(({ group: other }) => other !== group)
        .map(({ pid }) => String(pid)),
  };
}

/** A group goes by the negative of its leader's id (kill(2)); where there are none, the process alone. */
function signalled(child: ChildProcess, group: number | null, signal: NodeJS.Signals): void {
  try {
    if (group !== null && process.platform !== "win32") process.kill(-group, signal);
    else child.kill(signal);
  } catch {
    // It has ended meanwhile.
  }
}

/** Whether any process of the group is there; one that has ended and was not fetched counts too, for a moment. */
function isAlive(group: number): boolean {
  if (process.platform === "win32") return false;
  try {
    process.kill(-group, 0);
    return true;
  } catch {
    return false;
  }
}

/** Ends what an attendant that is gone has left running, as far as it is marked. Gives how many there were. */
export function endOrphans(proc: string, attemptId: string, signal: NodeJS.Signals): number {
  const left = markedWith(proc, markOf(attemptId));
  for (const { pid } of left)
    try {
      process.kill(pid, signal);
    } catch {
      // It has ended meanwhile.
    }
  return left.length;
}
