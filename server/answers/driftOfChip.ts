import {
  type BenchDrift,
  type ControlSetting,
  controlOf,
  driftsOf,
  tellingDrift,
} from "../bench/comparison/control.ts";
import type { Build } from "../bench/things/build.ts";
import { missing } from "../bench/things/refusal.ts";
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
      const control = controlOf(runs);
      if (control === undefined) return [];
      const drifts = driftsOf(runs, control, idle.has(control.workloadId));
      return [{ build, control, drifts, telling: tellingDrift(drifts) ?? null }];
    })
    .sort(
      (first, second) =>
        second.control.mountDays - first.control.mountDays ||
        second.control.days - first.control.days ||
        second.control.runs - first.control.runs,
    );
}
