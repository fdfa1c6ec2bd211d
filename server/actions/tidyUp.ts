import type { At } from "./context.ts";
import { dayMs } from "./keeping.ts";

const answersKeptMs = 30 * dayMs;

/** After each start: what was deleted more than a day ago goes for good. */
export function tidyUp({ journal, now }: At): void {
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
