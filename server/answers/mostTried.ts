import type { Build } from "../bench/things/build.ts";
import { rowsMemory } from "../bench/things/rowsMemory.ts";
import type { Journal } from "../store/file/journal.ts";

const byAttempts = rowsMemory<readonly Build[]>();

/** The builds of a chip, those with most attempts first. */
export const mostTried = (journal: Journal, chipId: string): readonly Build[] => {
  const builds = journal.builds.ofChip(chipId);
  return byAttempts(builds, journal.revision(), () =>
    builds
      .map((build) => ({ build, attempts: journal.attempts.countOf(build.id) }))
      .sort((a, b) => b.attempts - a.attempts)
      .map(({ build }) => build),
  );
};

/** So many attempts say how far repeats scatter and whether the bench drifts; more would only take time to read. */
const enoughAttempts = 30_000;

/** Of a chip's builds those with most attempts, until there are enough: all of them on all but the largest journals. */
export function wellTried(journal: Journal, chipId: string, enough = enoughAttempts): readonly Build[] {
  let attempts = 0;
  const chosen = new Set<string>();
  for (const { id } of mostTried(journal, chipId)) {
    if (attempts >= enough) break;
    attempts += journal.attempts.countOf(id);
    chosen.add(id);
  }
  return journal.builds.ofChip(chipId).filter(({ id }) => chosen.has(id));
}
