import path from "node:path";
import { namesNow, numberNow, textNow } from "./textFile.ts";

/** Where an error was corrected. Those of the bus say nothing of the clock. */
type ErrorPlace = "core" | "memory" | "bus";
export type ErrorCounts = Readonly<Partial<Record<ErrorPlace, number>>>;

/**
 * Errors corrected since the machine started, by place; a place that cannot be read is left out. Memory: the kernel's
 * error detection and correction counts (edac, ce_count). Core: interrupts at a threshold of corrected machine-check
 * errors, and polled machine-check exceptions (/proc/interrupts, THR and MCE). Bus: the advanced error reports of the
 * devices (aer_dev_correctable).
 */
export function kernelErrorCounts(sysfs: string, proc: string): ErrorCounts {
  const counts = { core: coreErrors(proc), memory: memoryErrors(sysfs), bus: busErrors(sysfs) };
  return Object.fromEntries(Object.entries(counts).filter(([, count]) => count !== null));
}

function memoryErrors(sysfs: string): number | null {
  const folder = path.join(sysfs, "devices/system/edac/mc");
  return summed(
    namesNow(folder)
      .filter((name) => /^mc\d+$/.test(name))
      .map((name) => numberNow(path.join(folder, name, "ce_count"))),
  );
}

function coreErrors(proc: string): number | null {
  const text = textNow(path.join(proc, "interrupts")) ?? "";
  const lines = [...text.matchAll(/^\s*(?:THR|MCE):((?:\s+\d+)+)/gm)];
  return summed(
    lines.map(([, numbers = ""]) =>
      numbers
        .trim()
        .split(/\s+/)
        .reduce((sum, one) => sum + Number(one), 0),
    ),
  );
}

function busErrors(sysfs: string): number | null {
  const folder = path.join(sysfs, "bus/pci/devices");
  return summed(
    namesNow(folder).map((name) => {
      const found = /^TOTAL_ERR_COR (\d+)$/m.exec(
        textNow(path.join(folder, name, "aer_dev_correctable")) ?? "",
      );
      return found === null ? null : Number(found[1]);
    }),
  );
}

function summed(counts: readonly (number | null)[]): number | null {
  const known = counts.filter((count) => count !== null);
  return known.length === 0 ? null : known.reduce((sum, one) => sum + one, 0);
}

/** What came in between; a count that began anew is nothing to go by. */
export const errorsSince = (before: ErrorCounts, after: ErrorCounts): ErrorCounts =>
  Object.fromEntries(
    Object.entries(after).flatMap(([place, count]) => {
      const was = before[place as ErrorPlace];
      return was === undefined || count < was ? [] : [[place, count - was]];
    }),
  );
