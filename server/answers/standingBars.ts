import { provenRunsOf } from "../bench/frontier/provenRuns.ts";
import { barring, failuresOf } from "../bench/frontier/standingFailures.ts";
import { loadedRows } from "../bench/limit/limitEvidence.ts";
import type { Setting } from "../bench/things/setting.ts";
import type { Journal } from "../store/file/journal.ts";
import { buildAsked } from "./buildAsked.ts";

/** What stands against trying a setting by the record alone, without a fit. */
export type StandingBars = Readonly<{
  isBarred: (setting: Setting) => boolean;
  /** Whether it, or something as hard, has passed for so long already. */
  hasPassed: (setting: Setting, durationS: number) => boolean;
}>;

export function standingBarsOf(journal: Journal, buildId: string, workloadId: string | null): StandingBars {
  const asked = buildAsked(journal, { buildId });
  const workloads = [...asked.workloads.values()];
  const rows = loadedRows(journal.attempts.evidenceOf(buildId), workloads);
  const failures = failuresOf({ rows, chip: asked.chip, workloads, workloadId, doubted: new Set() });
  const proven = provenRunsOf(rows, failures, workloads, workloadId);
  return {
    isBarred: (setting) => barring(failures, setting) !== undefined,
    hasPassed: (setting, durationS) => proven.longestS(setting) >= durationS,
  };
}
