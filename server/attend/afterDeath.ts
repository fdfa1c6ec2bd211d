import type { Outcome } from "../bench/things/outcome.ts";
import type { History } from "./history.ts";
import { newest } from "./load.ts";
import { openSpool, printedIn, type RunSpool, spoolNames } from "./runRecord.ts";
import type { SpoolDisk } from "./spoolDisk.ts";

export type AfterDeathOf = Readonly<{
  disk: SpoolDisk;
  history: History;
  bootId: string;
  /** Ends what is left of a run's load on this machine; gives how many processes there were. */
  endOrphans(attemptId: string): number;
  /** What the kernel, or the firmware, recorded of the last end; null where nothing did. */
  recordOfDeath(): string | null;
  say(words: string): void;
}>;

/**
 * What earlier starts left in the spool. A run without an end is given one: the machine has started anew, so it died at
 * the last second that reached the disk; or it has not, so only the attendant did.
 */
export function leftInSpool({ disk, ...of }: AfterDeathOf): readonly RunSpool[] {
  return spoolNames(disk).flatMap((name) => {
    const spool = openSpool(disk, name);
    if (spool === null) {
      // Its beginning never reached the disk, so its load was never started.
      disk.remove(name);
      return [];
    }
    if (spool.end() === null) endUnfinished(spool, of);
    return [spool];
  });
}

function endUnfinished(spool: RunSpool, of: Omit<AfterDeathOf, "disk">): void {
  const { attemptId, startedAt, bootId } = spool.begun;
  const died = bootId !== of.bootId;
  const left = died ? 0 : of.endOrphans(attemptId);
  const record = died ? of.recordOfDeath() : null;
  const durationS = spool.lastS();
  const endedAt = new Date(Date.parse(startedAt) + 1000 * durationS).toISOString();
  const outcome: Outcome = died ? "died" : "stopped";
  const words = died
    ? "The machine froze or restarted; which is not known."
    : `The attendant was ended and came back${left > 0 ? `; ${left} processes of the load were ended` : ""}.`;
  spool.add({
    kind: "end",
    outcome,
    durationS,
    endedAt,
    fields: {
      loadProved: null,
      output: newest(
        [printedIn(spool.records()), `— ${words}`, ...(record === null ? [] : [record])].join("\n"),
      ),
      bootId,
    },
  });
  spool.syncNow();
  of.history.add({ attemptId, outcome, endedAt });
  of.say(`${attemptId} ended as ${outcome} after ${durationS} s. ${words}`);
}
