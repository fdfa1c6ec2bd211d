import path from "node:path";
import { textNow } from "./textFile.ts";

/** Drawn anew by the kernel at each start (proc(5), sys/kernel/random/boot_id); null where it tells none. */
export function bootIdIn(proc: string): string | null {
  const text = textNow(path.join(proc, "sys/kernel/random/boot_id"))?.trim() ?? "";
  return /^[0-9a-f-]{8,64}$/i.test(text) ? text : null;
}

/** Seconds since the machine started, time asleep included (proc(5), uptime). */
export function uptimeS(proc: string): number | null {
  const [first = ""] = (textNow(path.join(proc, "uptime")) ?? "").split(" ");
  const seconds = Number(first);
  return first !== "" && Number.isFinite(seconds) ? seconds : null;
}

/** How many processes the kernel has ended for want of memory since it started (vmstat). */
export function memoryKills(proc: string): number | null {
  const found = /^oom_kill (\d+)$/m.exec(textNow(path.join(proc, "vmstat")) ?? "");
  return found === null ? null : Number(found[1]);
}
