import type { BuildAnswer } from "../../answers/answerOf.ts";
import { voltagesBeside } from "../../bench/next/voltagesBeside.ts";
import type { Build } from "../../bench/things/build.ts";
import type { Chip } from "../../bench/things/chip.ts";
import type { Setting } from "../../bench/things/setting.ts";
import { suitsChip, type Workload } from "../../bench/things/workload.ts";
import type { Journal } from "../../store/file/journal.ts";

/** What of a build's aim is left once its answer is found. */
export type Left = Readonly<{
  /** Voltages to map, the answer's among them; empty where all that lie beside it are done. */
  voltagesMv: readonly number[];
  /** A load that has not run on this build yet. */
  load: Workload | null;
  /** Whether the cooler was taken off and put back before. */
  mountedAgain: boolean;
  /** What stands against leaving a run to itself, in words; null where none is proposed. */
  againstUnattended: readonly string[] | null;
}>;

type Around = Readonly<{
  workloads: readonly Workload[];
  leaveRunning: Setting | null;
  /** What stands against leaving a run to itself there. */
  against(setting: Setting): readonly string[];
}>;

export function leftOf(
  journal: Journal,
  { build, chip }: Readonly<{ build: Build; chip: Chip }>,
  { setting, atVoltages }: BuildAnswer,
  { workloads, leaveRunning, against }: Around,
): Left {
  const ran = new Set(journal.attempts.triedOf(build.id).map(({ workloadId }) => workloadId));
  const triedMv = atVoltages.map(({ voltageMv }) => voltageMv);
  const guardMv = setting?.guarded ? chip.voltageStepMv : 0;
  const answerMv = (setting?.voltageMv ?? 0) - guardMv;
  const near = setting === null ? [] : voltagesBeside(answerMv, triedMv, chip);
  const isOpen = (mv: number): boolean =>
    mv !== answerMv &&
    atVoltages.every(({ voltageMv, done, objection }) => voltageMv !== mv || (!done && objection === null));
  return {
    voltagesMv: near.some(isOpen) ? near : [],
    load:
      workloads.find((load) => load.kind !== "idle" && suitsChip(load, chip.kind) && !ran.has(load.id)) ??
      null,
    againstUnattended: leaveRunning && against(leaveRunning),
    mountedAgain: journal.mounts.pageOf(build.id, { limit: 2, after: null }).items.length > 1,
  };
}
