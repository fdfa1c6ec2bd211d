import type { Attempt } from "../bench/attempt.ts";
import { idleBefore } from "../bench/heatCourse.ts";
import type { HeatRun } from "../bench/heatReading.ts";
import type { Journal } from "../store/journal.ts";
import { heatReadOf } from "./heatOfAttempt.ts";

export type HeatSummary = Readonly<{ run: HeatRun; idleC: number | null }>;

const mostKept = 200;
const kept = new WeakMap<Journal, Map<string, HeatSummary>>();

/** What a heat run says as found, and how warm idle was before it; kept until its trace or its attempt changes. Null without a temperature. */
export function heatSummaryOf(journal: Journal, attempt: Attempt): HeatSummary | null {
  const outline = journal.traces.outline(attempt.id);
  if (outline === undefined) return null;
  const known = kept.get(journal) ?? new Map<string, HeatSummary>();
  kept.set(journal, known);
  const key = [attempt.id, attempt.version, outline.id, outline.rows].join(" ");
  const found = known.get(key);
  if (found !== undefined) return found;
  const read = heatReadOf(journal, attempt);
  if (read === null) return null;
  const summary = { run: read.run, idleC: idleBefore(read.trace, read.run) };
  if (known.size >= mostKept) known.clear();
  known.set(key, summary);
  return summary;
}
