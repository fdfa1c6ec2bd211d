import type { Outcome } from "../bench/things/outcome.ts";
import type { SpoolDisk } from "./spoolDisk.ts";
import { recordsIn, spoolLine } from "./spoolLine.ts";

/** A run that this machine began, as its own spool folder remembers it. */
export type PastRun = Readonly<{
  attemptId: string;
  outcome: Outcome | null;
  /** By the server's clock. */
  endedAt: string;
}>;

export type History = Readonly<{
  runs(): readonly PastRun[];
  add(run: PastRun): void;
}>;

const file = "runs.past";
const mostKept = 200;

export function historyIn(disk: SpoolDisk): History {
  let runs = recordsIn(disk.read(file) ?? "") as readonly PastRun[];
  if (runs.length > 2 * mostKept) {
    runs = runs.slice(-mostKept);
    disk.remove(file);
    disk.append(file, runs.map(spoolLine).join(""));
    disk.syncNow(file);
  }
  return {
    runs: () => runs,
    add: (run) => {
      runs = [...runs, run];
      disk.append(file, `\n${spoolLine(run)}`);
      disk.syncNow(file);
    },
  };
}
