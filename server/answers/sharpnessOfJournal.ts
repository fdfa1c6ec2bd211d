import type { LimitContext } from "../bench/limit/limitFit.ts";
import { packedContext } from "../bench/limit/packedContext.ts";
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
  const shown = otherChips(journal, chip).flatMap((other) => {
    const known = reckonings.inTurn<ChipSharpness | null, LimitContext>("sharpness", other.id, {
      read: () => readOf(journal, other),
      request: () => jointContext(journal, other),
      packed: packedContext,
    });
    return known?.answer ?? [];
  });
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

/** Few are all asked, without counting what each has. */
function otherChips(journal: Journal, chip: Chip): readonly Chip[] {
  const others = journal.chips
    .all()
    .filter(({ id, kind }) => kind === chip.kind && id !== chip.id)
    .filter((other) => hasSeveral(journal, other))
    .sort((a, b) => (a.id < b.id ? -1 : 1));
  if (others.length <= mostChips) return others;
  return others
    .map((other) => ({ other, attempts: attemptsOf(journal, other) }))
    .sort((a, b) => b.attempts - a.attempts)
    .slice(0, mostChips)
    .map(({ other }) => other);
}

function hasSeveral(journal: Journal, { id }: Chip): boolean {
  let attempts = 0;
  for (const build of journal.builds.ofChip(id)) {
    attempts += journal.attempts.newestOf(build.id, 2).items.length;
    if (attempts > 1) return true;
  }
  return false;
}

const attemptsOf = (journal: Journal, { id }: Chip): number =>
  journal.builds.ofChip(id).reduce((sum, build) => sum + journal.attempts.countOf(build.id), 0);

/** So many builds of a chip are read: the fit takes the one with most attempts and the three that follow. */
const mostBuilds = 7;

const triedMost = (journal: Journal, chip: Chip) =>
  journal.builds
    .ofChip(chip.id)
    .map((build) => ({ build, attempts: journal.attempts.countOf(build.id) }))
    .sort((a, b) => b.attempts - a.attempts)
    .slice(0, mostBuilds)
    .map(({ build }) => build);

/** What that question is made of: how many attempts each build has, then the rows of those with most. */
function* readOf(journal: Journal, chip: Chip): Generator<readonly unknown[] | undefined> {
  for (const { id } of journal.builds.ofChip(chip.id)) {
    journal.attempts.countOf(id);
    yield;
  }
  for (const { id } of triedMost(journal, chip)) {
    yield* journal.attempts.triedInTurn(id);
    yield journal.attempts.evidenceOf(id);
  }
}

/** The builds of a chip as one record, under the base: what was learnt must not teach itself. */
function jointContext(journal: Journal, chip: Chip): LimitContext {
  const builds = triedMost(journal, chip)
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
