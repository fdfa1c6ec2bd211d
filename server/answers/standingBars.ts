import { provenRunsOf } from "../bench/frontier/provenRuns.ts";
import { barring, failuresOf } from "../bench/frontier/standingFailures.ts";
import { lawOfHeatOf } from "../bench/heat/lawOfHeat.ts";
import { loadedRows, rowsThatMayFail } from "../bench/limit/limitEvidence.ts";
import { warmthOf, whyTooWarm } from "../bench/next/warmth.ts";
import type { Setting } from "../bench/things/setting.ts";
import type { Journal } from "../store/file/journal.ts";
import { evidenceAsSetNow } from "./asSetNow.ts";
import { buildAsked } from "./buildAsked.ts";

/** What stands against trying a setting by the record alone, without a fit. */
export type StandingBars = Readonly<{
  isBarred: (setting: Setting) => boolean;
  /** Why it runs too warm to be the answer; null where it does not, or nothing is known of the build's heat. */
  whyTooWarm: (setting: Setting) => string | null;
  /** Whether it, or something as hard, has passed for so long already. */
  hasPassed: (setting: Setting, durationS: number) => boolean;
}>;

export function standingBarsOf(journal: Journal, buildId: string, workloadId: string | null): StandingBars {
  const asked = buildAsked(journal, { buildId });
  const workloads = [...asked.workloads.values()];
  const evidence = evidenceAsSetNow(journal, buildId, asked.chip);
  const rows = loadedRows(evidence, workloads);
  const failing = rowsThatMayFail(evidence, workloads);
  const failures = failuresOf({ rows: failing, chip: asked.chip, workloads, workloadId, doubted: new Set() });
  const proven = provenRunsOf(rows, failures, workloads, workloadId);
  const found = lawOfHeatOf(rows);
  const question = { ...asked.build, chip: asked.chip, workloads };
  const warmth = warmthOf(question, rows, "unknown" in found ? null : found, workloadId);
  return {
    isBarred: (setting) => barring(failures, setting) !== undefined,
    whyTooWarm: (setting) => whyTooWarm(warmth, setting),
    hasPassed: (setting, durationS) => proven.longestS(setting) >= durationS,
  };
}
