import type { At } from "./context.ts";
import { dayMs } from "./keeping.ts";
import { ensureStandardRule } from "./parts.ts";

const answersKeptMs = 30 * dayMs;

/** At start: the rule that always exists is there, and what was deleted more than a day ago goes for good. */
export function tidyUp(at: At): void {
  const { journal, now } = at;
  ensureStandardRule(at);
  const yesterday = new Date(Date.parse(now) - dayMs).toISOString();
  journal.pictures.forgetRemovedBefore(yesterday);
  journal.attempts.forgetRemovedBefore(yesterday);
  journal.noise.forgetRemovedBefore(yesterday);
  journal.builds.forgetRemovedBefore(yesterday);
  journal.mounts.forgetRemovedBefore(yesterday);
  for (const store of [journal.rules, journal.workloads, journal.boards, journal.chips])
    store.forgetRemovedBefore(yesterday);
  journal.answeredPosts.forgetBefore(new Date(Date.parse(now) - answersKeptMs).toISOString());
}
