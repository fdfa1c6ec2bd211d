import {
  type BenchDrift,
  type ControlSetting,
  controlOf,
  driftsOf,
  tellingDrift,
} from "../bench/comparison/control.ts";
import type { TaggedRun } from "../bench/runs/runRow.ts";
import type { Build } from "../bench/things/build.ts";
import { missing } from "../bench/things/refusal.ts";
import { rowsMemory } from "../bench/things/rowsMemory.ts";
import type { Journal } from "../store/file/journal.ts";
import { knobsOfBoth, withKnobsSaid } from "./knobsSaid.ts";
import { wellTried } from "./mostTried.ts";

/** What one build's control runs say of the bench. */
export type BuildDrift = Readonly<{
  build: Build;
  control: ControlSetting;
  drifts: readonly BenchDrift[];
  telling: BenchDrift | null;
}>;

/** The builds of a chip with a control setting, those that followed the bench longest first. */
export function driftOfChip(journal: Journal, chipId: string): BuildDrift[] {
  const chip = journal.chips.find(chipId);
  if (!chip) throw missing("chip");
  const idle = new Set(
    journal.workloads
      .all()
      .filter((workload) => workload.kind === "idle")
      .map((workload) => workload.id),
  );
  return wellTried(journal, chipId)
    .flatMap((build) => {
      const runs = withKnobsSaid(journal.attempts.taggedRunsOf(build.id), knobsOfBoth(chip, chip));
      const control = controlIn(runs);
      if (control === undefined) return [];
      const drifts = driftsIn(runs, control, idle.has(control.workloadId));
      return [{ build, control, drifts, telling: tellingDrift(drifts) ?? null }];
    })
    .sort(
      (first, second) =>
        second.control.mountDays - first.control.mountDays ||
        second.control.days - first.control.days ||
        second.control.runs - first.control.runs,
    );
}

/** Each build's own once for the same runs: of a chip's many builds one is written to at a time. */
const controls = rowsMemory<ControlSetting | undefined>();
const controlIn = (runs: readonly TaggedRun[]): ControlSetting | undefined =>
  controls(runs, null, () => controlOf(runs));

const drifts = rowsMemory<readonly BenchDrift[]>();
const driftsIn = (
  runs: readonly TaggedRun[],
  control: ControlSetting,
  isIdle: boolean,
): readonly BenchDrift[] => drifts(runs, isIdle, () => driftsOf(runs, control, isIdle));
