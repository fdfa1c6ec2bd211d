import { showsInReadings } from "../bench/runs/settingRead.ts";
import type { Attempt } from "../bench/things/attempt.ts";
import type { AttendantDraft, AttendantHeard, ProposalShown } from "../bench/things/attendant.ts";
import type { Chip } from "../bench/things/chip.ts";
import { conflict, missing } from "../bench/things/refusal.ts";
import { asSetWords } from "../bench/things/setting.ts";
import type { Workload } from "../bench/things/workload.ts";
import type { Journal } from "../store/file/journal.ts";

/** Who attends which build, as long as they say so: a server that has started anew knows again within a second. */
export type Attendants = Readonly<{
  /** Keeps what one says of itself; another of the same build is refused while that one is heard. */
  hear(name: string, draft: AttendantDraft, now: string): AttendantHeard;
  /** Null where nobody attends it, or nobody has been heard for a long while. */
  of(buildId: string, now: string): AttendantHeard | null;
  all(now: string): readonly AttendantHeard[];
  /** Keeps what the page last told somebody to set; null where it asks for nothing any more. */
  show(buildId: string, proposal: ProposalShown | null): void;
  shown(buildId: string): ProposalShown | null;
}>;

/** So long after it was last heard an attendant has its place. */
const placeMs = 15_000;
/** And so long it is told of: its machine may have died, or be starting anew. */
const toldMs = 30 * 60_000;
/** It says that it is here every second. */
const silentMs = 5_000;

export function attendants(): Attendants {
  const byName = new Map<string, AttendantHeard>();
  const proposals = new Map<string, ProposalShown>();
  const age = ({ heardAt }: AttendantHeard, now: string): number => Date.parse(now) - Date.parse(heardAt);
  const all = (now: string): readonly AttendantHeard[] => {
    for (const [name, one] of byName) if (age(one, now) > toldMs) byName.delete(name);
    return [...byName.values()].sort((a, b) => (a.heardAt < b.heardAt ? 1 : -1));
  };
  return {
    hear: (name, draft, now) => {
      const other = all(now).find((one) => one.buildId === draft.buildId && one.name !== name);
      if (other && age(other, now) <= placeMs && other.state !== "leaving")
        throw conflict(`${other.name} attends this build already; there is one attendant a build.`);
      if (other) byName.delete(other.name);
      const heard = { ...draft, name, heardAt: now };
      byName.set(name, heard);
      return heard;
    },
    show: (buildId, proposal) => {
      if (proposal === null) proposals.delete(buildId);
      else proposals.set(buildId, proposal);
    },
    shown: (buildId) => proposals.get(buildId) ?? null,
    of: (buildId, now) => all(now).find((one) => one.buildId === buildId) ?? null,
    all,
  };
}

export const isHeard = ({ heardAt }: AttendantHeard, now: string): boolean =>
  Date.parse(now) - Date.parse(heardAt) <= silentMs;

/** What an attendant is told: what is armed, what came last, and what the chip bears. Never what to run. */
export type AttendantWord = Readonly<{
  now: string;
  build: Readonly<{ id: string; name: string }>;
  chip: Readonly<{
    kind: string;
    tempLimitC: number;
    supplyTempLimitC: number | null;
    limits: Readonly<Record<string, number>>;
    stockClockMhz: number | null;
    stockVoltageMv: number | null;
    /** Whether a clock and a voltage that are read tell what is set. */
    settingShows: boolean;
  }>;
  armed:
    | (SettingTold &
        Readonly<{ words: string; workload: Pick<Workload, "name" | "kind">; heardS: number | null }>)
    | null;
  last: SettingTold | null;
  /** What the page told somebody to set before the machine was started anew. */
  proposed: ProposalShown | null;
}>;

type SettingTold = Pick<Attempt, "id" | "outcome" | "clockMhz" | "voltageMv" | "workloadId" | "plannedS">;

export function attendantWord(
  journal: Journal,
  { buildId }: AttendantHeard,
  proposed: ProposalShown | null,
  now: string,
): AttendantWord {
  const build = journal.builds.find(buildId);
  const chip = build && journal.chips.find(build.chipId);
  if (!build || !chip) throw missing("build");
  const armed = journal.attempts.runningOf(buildId);
  const [last] = journal.attempts
    .pageOf(buildId, { limit: armed ? 2 : 1, after: null })
    .items.filter(({ id }) => id !== armed?.id);
  return {
    now,
    build: { id: buildId, name: build.name },
    chip: {
      kind: chip.kind,
      tempLimitC: chip.tempLimitC,
      supplyTempLimitC: journal.boards.find(build.boardId)?.supplyTempLimitC ?? null,
      limits: chip.limits,
      stockClockMhz: chip.stockClockMhz,
      stockVoltageMv: chip.stockVoltageMv,
      settingShows: showsInReadings(chip),
    },
    // One that was running when this server stopped is still running only where its attendant says so.
    armed: armed && !journal.interrupted.has(armed.id) ? armedTold(journal, armed, chip) : null,
    last: last ? settingTold(last) : null,
    proposed,
  };
}

function armedTold(journal: Journal, armed: Attempt, chip: Chip): AttendantWord["armed"] {
  const workload = journal.workloads.find(armed.workloadId);
  return {
    ...settingTold(armed),
    words: asSetWords(armed, chip),
    workload: { name: workload?.name ?? "", kind: workload?.kind ?? "mixed" },
    heardS: journal.attempts.lastHeartbeat(armed.id, "machine")?.elapsedS ?? null,
  };
}

const settingTold = ({ id, outcome, clockMhz, voltageMv, workloadId, plannedS }: Attempt): SettingTold => ({
  id,
  outcome,
  clockMhz,
  voltageMv,
  workloadId,
  plannedS,
});
