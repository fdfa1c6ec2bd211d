import { type WorkDone, workDoneOf } from "../bench/runs/workDone.ts";
import type { Attempt } from "../bench/things/attempt.ts";
import type { Journal } from "../store/file/journal.ts";
import { buildAsked } from "./buildAsked.ts";

/** What the score of a pass says of the work it did, and whether it is better told as slower. */
export type WorkOfAttempt = Readonly<{
  work: WorkDone | null;
  suggests: "slower" | null;
  /** Blank where nothing is suggested. */
  because: string;
}>;

const nothing: WorkOfAttempt = { work: null, suggests: null, because: "" };

/** Of a pass that was scored, beside the easier passes of its build near it. */
export function workOfAttempt(journal: Journal, attempt: Attempt): WorkOfAttempt {
  const workload = journal.workloads.find(attempt.workloadId);
  if (attempt.outcome !== "pass" || attempt.score === null || workload === undefined) return nothing;
  const { chip } = buildAsked(journal, { buildId: attempt.buildId });
  const found = workDoneOf(attempt, journal.attempts.allOf(attempt.buildId), chip, workload);
  if (found === undefined) return nothing;
  const { isSlower, ...work } = found;
  return isSlower ? { work, suggests: "slower", because: slowerWords(work) } : { ...nothing, work };
}

const slowerWords = ({ underShare, easier }: WorkDone): string =>
  `It did ${(100 * underShare).toFixed(1)} % less work a clock than ${easier} easier passes near it: errors may have been corrected, or the clock stretched.`;
