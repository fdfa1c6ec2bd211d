import path from "node:path";
import { numberNow, textNow } from "./textFile.ts";

/** Time of each logical processor since the machine started, in ticks: at work, and in all (proc(5), stat). */
export type ProcessorTimes = ReadonlyMap<number, Readonly<{ busy: number; all: number }>>;

export function processorTimes(proc: string): ProcessorTimes {
  const times = new Map<number, { busy: number; all: number }>();
  for (const [, name, rest] of (textNow(path.join(proc, "stat")) ?? "").matchAll(/^cpu(\d+) (.*)$/gm)) {
    const [user = 0, nice = 0, system = 0, idle = 0, waiting = 0, ...more] = (rest ?? "")
      .split(" ")
      .slice(0, 8)
      .map(Number);
    const busy = user + nice + system + more.reduce((sum, one) => sum + one, 0);
    times.set(Number(name), { busy, all: busy + idle + waiting });
  }
  return times;
}

/** The processors that worked for more than half of the time between two readings. */
export const loadedBetween = (before: ProcessorTimes, after: ProcessorTimes): readonly number[] =>
  [...after].flatMap(([processor, { busy, all }]) => {
    const was = before.get(processor);
    return was !== undefined && all > was.all && (busy - was.busy) / (all - was.all) > 0.5 ? [processor] : [];
  });

const clockFile = (sysfs: string, processor: number): string =>
  path.join(sysfs, `devices/system/cpu/cpu${processor}/cpufreq/scaling_cur_freq`);

/** The middle clock of the processors named, in MHz; the kernel tells kHz (its documentation, cpu-freq). */
export function middleClockMhz(sysfs: string, processors: readonly number[]): number | null {
  const clocks = clocksMhz(sysfs, processors).sort((a, b) => a - b);
  const middle = clocks.length / 2;
  if (clocks.length === 0) return null;
  return clocks.length % 2 === 1
    ? (clocks[Math.floor(middle)] ?? null)
    : ((clocks[middle - 1] ?? 0) + (clocks[middle] ?? 0)) / 2;
}

/** The highest clock of the processors named: at rest, what they are allowed is seen on the one that works. */
export function highestClockMhz(sysfs: string, processors: readonly number[]): number | null {
  const clocks = clocksMhz(sysfs, processors);
  return clocks.length === 0 ? null : Math.max(...clocks);
}

const clocksMhz = (sysfs: string, processors: readonly number[]): number[] =>
  processors.flatMap((processor) => {
    const kHz = numberNow(clockFile(sysfs, processor));
    return kHz === null ? [] : [kHz / 1000];
  });
