import type { At } from "./context.ts";
import { dayMs } from "./keeping.ts";

const answersKeptMs = 30 * dayMs;

/** After each start: what was deleted more than a day ago goes for good, unless something still stands on it. */
export function tidyUp({ journal, now }: At): void {
  restoreNamed(journal);
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

/** Earlier versions let a thing come back without what it stands on: that comes back here. A build may be based on a build. */
function restoreNamed({ builds, mounts, rules, workloads, boards, chips }: At["journal"]): void {
  while (builds.restoreNamed() > 0);
  for (const store of [mounts, rules, workloads, boards, chips]) store.restoreNamed();
}
