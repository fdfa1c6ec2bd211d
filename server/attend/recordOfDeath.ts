import path from "node:path";
import { errorWords } from "../kernel/kernelWords.ts";
import { namesNow, numberNow, textNow } from "../kernel/textFile.ts";

const mostLines = 20;

/**
 * What was recorded of the machine's last end, in words for the attempt's page; null where nothing was: the crash store
 * of the firmware (pstore), a watchdog that says it restarted the machine (bootstatus), lines of this start's kernel log
 * that tell of errors found from before, which often name the processor.
 */
export function recordOfDeath(sysfs: string, reader: string): string | null {
  const told = [...crashStore(sysfs), ...watchdogs(sysfs), ...kernelLines(reader)];
  return told.length === 0 ? null : told.slice(0, 2 * mostLines).join("\n");
}

const crashStore = (sysfs: string): readonly string[] => {
  const folder = path.join(sysfs, "fs/pstore");
  return namesNow(folder).flatMap((name) => {
    const lines = (textNow(path.join(folder, name)) ?? "").trim().split("\n").slice(-mostLines);
    return lines.length > 0 ? [`Crash store, ${name}:`, ...lines] : [];
  });
};

const watchdogs = (sysfs: string): readonly string[] => {
  const folder = path.join(sysfs, "class/watchdog");
  return namesNow(folder).flatMap((name) =>
    (numberNow(path.join(folder, name, "bootstatus")) ?? 0) > 0 ? [`${name} restarted the machine.`] : [],
  );
};

const kernelLines = (reader: string): readonly string[] => {
  const lines = (textNow(path.join(reader, "kernel")) ?? "")
    .split("\n")
    .filter((line) => errorWords.test(line));
  return lines.length === 0 ? [] : ["Kernel log of this start:", ...lines.slice(0, mostLines)];
};
