import type { LimitContext } from "../bench/limit/limitFit.ts";
import { baseSharpness, type SharpnessPrior } from "../bench/limit/sharpness.ts";
import { type ChipSharpness, sharpnessLearntFrom } from "../bench/limit/sharpnessLearnt.ts";
import type { Chip } from "../bench/things/chip.ts";
import type { Journal } from "../store/file/journal.ts";
import type { Reckonings } from "./reckoned.ts";

/** So many other chips, those with most attempts, tell enough of a kind. */
const mostChips = 24;

/**
 * What the journal's other chips of the same kind have shown of how sharp limits are. One fit a chip, reckoned apart and
 * kept until that chip's record changes; one that is still being reckoned tells nothing yet. While an attempt of the
 * build runs, what was believed when it began stays.
 */
export function sharpnessFor(
  journal: Journal,
  reckonings: Reckonings,
  chip: Chip,
  buildId: string,
): SharpnessPrior {
  const held = heldOf(reckonings);
  const before = held.get(buildId);
  if (before !== undefined && journal.attempts.runningOf(buildId) !== undefined) return before;
  const shown = otherChips(journal, chip).flatMap(
    (other) =>
      reckonings.latest<ChipSharpness | null>("sharpness", other.id, () => jointContext(journal, other))
        ?.answer ?? [],
  );
  const learnt = sharpnessLearntFrom(shown, chip.kind);
  held.set(buildId, learnt);
  return learnt;
}

/** What each build was last told, as long as these reckonings are kept. */
const heldFor = new WeakMap<Reckonings, Map<string, SharpnessPrior>>();

function heldOf(reckonings: Reckonings): Map<string, SharpnessPrior> {
  const held = heldFor.get(reckonings) ?? new Map<string, SharpnessPrior>();
  heldFor.set(reckonings, held);
  return held;
}

const otherChips = (journal: Journal, chip: Chip): Chip[] =>
  journal.chips
    .all()
    .filter(({ id, kind }) => kind === chip.kind && id !== chip.id)
    .map((other) => ({ other, attempts: attemptsOf(journal, other) }))
    .filter(({ attempts }) => attempts > 1)
    .sort((a, b) => b.attempts - a.attempts || (a.other.id < b.other.id ? -1 : 1))
    .slice(0, mostChips)
    .map(({ other }) => other);

const attemptsOf = (journal: Journal, { id }: Chip): number =>
  journal.builds.ofChip(id).reduce((sum, build) => sum + journal.attempts.countOf(build.id), 0);

/** All builds of a chip as one record, under the base: what was learnt must not teach itself. */
function jointContext(journal: Journal, chip: Chip): LimitContext {
  const builds = journal.builds
    .ofChip(chip.id)
    .map(({ id, name, hottestAmbientC }) => ({
      name,
      hottestAmbientC,
      rows: journal.attempts.evidenceOf(id),
    }))
    .sort((a, b) => b.rows.length - a.rows.length);
  const [main, ...others] = builds;
  return {
    chip,
    hottestAmbientC: main?.hottestAmbientC ?? 30,
    rows: main?.rows ?? [],
    workloads: journal.workloads.all(),
    otherBuilds: others.map(({ name, rows }) => ({ name, rows })),
    sharpness: baseSharpness,
  };
}
