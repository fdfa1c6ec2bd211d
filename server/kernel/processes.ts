import path from "node:path";
import { namesNow, textNow } from "./textFile.ts";

/** Kernel time in /proc is counted in hundredths of a second on every common machine (proc(5), sysconf(_SC_CLK_TCK)). */
const ticksPerS = 100;

export type Process = Readonly<{
  pid: number;
  group: number;
  /** R runs, S sleeps, Z has ended and is not fetched yet. */
  state: string;
  cpuS: number;
  /** Ticks since the machine started: with the pid it names one process for good. */
  startTicks: number;
}>;

/** Null where there is no such process. The name in brackets may hold blanks and brackets itself. */
function processIn(folder: string, pid: number): Process | null {
  const text = textNow(path.join(folder, "stat"));
  if (text === null) return null;
  const fields = text.slice(text.lastIndexOf(")") + 2).split(" ");
  const number = (place: number) => Number(fields[place - 3] ?? Number.NaN);
  return {
    pid,
    group: number(5),
    state: fields[0] ?? "",
    cpuS: (number(14) + number(15)) / ticksPerS,
    startTicks: number(22),
  };
}

/** Every process there is now. */
const processesIn = (proc: string): readonly Process[] =>
  namesNow(proc)
    .filter((name) => /^\d+$/.test(name))
    .flatMap((name) => processIn(path.join(proc, name), Number(name)) ?? []);

const hasEnded = ({ state }: Process): boolean => state === "Z" || state === "X";

/** The processes of a group that have not ended. */
export const membersOf = (proc: string, group: number): readonly Process[] =>
  processesIn(proc).filter((one) => one.group === group && !hasEnded(one));

/** Processor time of each thread of the processes, in seconds, by thread. */
export function threadTimes(proc: string, pids: readonly number[]): ReadonlyMap<number, number> {
  const times = new Map<number, number>();
  for (const pid of pids) {
    const tasks = path.join(proc, String(pid), "task");
    for (const name of namesNow(tasks)) {
      const thread = processIn(path.join(tasks, name), Number(name));
      if (thread !== null) times.set(thread.pid, thread.cpuS);
    }
  }
  return times;
}

/** Processes that were started with this in their environment, in whatever group they are now. */
export const markedWith = (proc: string, mark: string): readonly Process[] =>
  processesIn(proc).filter(
    (one) =>
      !hasEnded(one) &&
      (textNow(path.join(proc, String(one.pid), "environ")) ?? "").split("\u0000").includes(mark),
  );
