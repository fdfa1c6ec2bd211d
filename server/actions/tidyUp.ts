import type { At } from "./context.ts";
import { dayMs } from "./keeping.ts";
import { settleStanding } from "./mergeThings.ts";

const answersKeptMs = 30 * dayMs;

/**
 * After each start. What was deleted stays as it was, so that the deletion can travel to other journals; only what was
 * blanked is gone.
 */
export function tidyUp({ journal, now }: At): void {
  settleStanding([], { journal, now }, null);
  const before = (ms: number): string => new Date(Date.parse(now) - ms).toISOString();
  journal.merges.forgetBefore(before(dayMs));
  journal.answeredPosts.forgetBefore(before(answersKeptMs));
}
