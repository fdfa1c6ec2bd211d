import { evidenceClockMhz } from "../bench/frontier/evidence.ts";
import { heavinessIn, isAsHard } from "../bench/frontier/standingFailures.ts";
import { loadedRows } from "../bench/limit/limitEvidence.ts";
import type { Attempt } from "../bench/things/attempt.ts";
import type { EvidenceRow } from "../bench/things/evidenceRow.ts";
import { isCrash, outcomeClass } from "../bench/things/outcome.ts";
import { isSetByClock } from "../bench/things/setting.ts";
import type { Journal } from "../store/file/journal.ts";
import { buildAsked } from "./buildAsked.ts";
import type { ProposalTold } from "./proposal.ts";

/** What a crash speaks against: passes at its setting or a harder one, and whether the same was run again since. */
export type Contested = Readonly<{ passes: number; wasRepeated: boolean }>;

/** Null where the attempt did not crash, or nothing had passed as hard. */
export function contestedBy(journal: Journal, attempt: Attempt): Contested | null {
  if (!isSetByClock(attempt)) return null;
  const clockMhz = evidenceClockMhz(attempt);
  if (!isCrash(attempt.outcome) || clockMhz === null || attempt.setAside !== null) return null;
  const workloads = [...buildAsked(journal, { buildId: attempt.buildId }).workloads.values()];
  const rows = loadedRows(journal.attempts.evidenceOf(attempt.buildId), workloads);
  const asHeavy = heavinessIn(workloads);
  const failed = { clockMhz, voltageMv: attempt.voltageMv };
  const ranAt = (row: EvidenceRow) => ({ clockMhz: evidenceClockMhz(row) ?? 0, voltageMv: row.voltageMv });
  const passes = rows.filter(
    (row) =>
      outcomeClass(row.outcome) === "pass" &&
      row.startedAt <= attempt.startedAt &&
      asHeavy(row.workloadId, attempt.workloadId) &&
      isAsHard(ranAt(row), failed),
  ).length;
  const wasRepeated = rows.some(
    (row) =>
      row.startedAt > attempt.startedAt &&
      row.workloadId === attempt.workloadId &&
      row.voltageMv === failed.voltageMv &&
      ranAt(row).clockMhz === clockMhz,
  );
  return passes === 0 ? null : { passes, wasRepeated };
}

const shortestS = 600;

/** The failed attempt once more, long enough to outlive it; null where it did not fail or was repeated already. */
export function sameAgain(journal: Journal, attemptId: string): ProposalTold | null {
  const failed = journal.attempts.find(attemptId);
  const contested = failed && contestedBy(journal, failed);
  if (!failed || !isSetByClock(failed) || !contested || contested.wasRepeated) return null;
  const { clockMhz, voltageMv, workloadId, durationS } = failed;
  return {
    ...{ clockMhz, voltageMv, workloadId },
    durationS: Math.max(shortestS, 300 * Math.ceil((1.25 * (durationS ?? 0)) / 300)),
    purpose: "resolve",
    because: "It failed there once and had passed before; the same once more says whether it was the clock.",
    chanceOfPass: null,
    expectedMinutes: null,
  };
}
