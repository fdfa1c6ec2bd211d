import type { Assumptions } from "../bench/comparison/assumptions.ts";
import { type Effect, effectsOf } from "../bench/comparison/changeEffects.ts";
import { type BuildChange, changesOf } from "../bench/comparison/changes.ts";
import type { Build } from "../bench/things/build.ts";
import type { Chip } from "../bench/things/chip.ts";
import { missing } from "../bench/things/refusal.ts";
import type { Journal } from "../store/file/journal.ts";
import { answerOf, type BuildAnswer, settledAnswerOf } from "./answerOf.ts";
import { compareBuilds } from "./compareBuilds.ts";
import { fittedLimits, latestLimits } from "./fittedLimits.ts";
import type { Reckonings } from "./reckoned.ts";

export type ChangesOfChip = Readonly<{
  chip: Chip;
  builds: readonly Build[];
  /** What they are to run: those that a change touches, and others while they are few. */
  answers: readonly Readonly<{ build: Build; answer: BuildAnswer }>[];
  changes: readonly (BuildChange & Readonly<{ effects: readonly Effect[] }>)[];
}>;

/** Every stated change among the builds of a chip, with what it did to each measure; clocks by limits as last fitted. */
export function changesOfChip(
  journal: Journal,
  reckonings: Reckonings,
  chipId: string,
  stated: Partial<Assumptions> = {},
): ChangesOfChip {
  const chip = journal.chips.find(chipId);
  if (!chip) throw missing("chip");
  const builds = journal.builds.ofChip(chipId);
  const names = new Map(journal.workloads.all().map(({ id, name }) => [id, name]));
  const changes = changesOf(builds).map((change) => {
    const question = { a: change.from, b: change.to };
    const { limits } = latestLimits(journal, reckonings, question);
    const compared = compareBuilds(journal, question, limits, stated);
    return { ...change, effects: effectsOf(change, compared, (id) => names.get(id) ?? "a load") };
  });
  const answers = answeredOf(builds).map((build) => ({
    build,
    answer: answerOf(journal, reckonings, build.id),
  }));
  return { chip, builds, answers, changes };
}

/** On a chip with more builds than that, a page of changes is no place for them all. */
const mostAnswered = 40;

function answeredOf(builds: readonly Build[]): readonly Build[] {
  if (builds.length <= mostAnswered) return builds;
  const touched = new Set(changesOf(builds).flatMap(({ from, to }) => [from, to]));
  return builds.filter(({ id }) => touched.has(id));
}

/** The same with every limit fitted on the journal as it is; waits for them, one change at a time. */
export async function settledChangesOfChip(
  journal: Journal,
  reckonings: Reckonings,
  chipId: string,
): Promise<ChangesOfChip> {
  for (const { id } of answeredOf(journal.builds.ofChip(chipId)))
    await settledAnswerOf(journal, reckonings, id);
  for (const { from, to } of changesOf(journal.builds.ofChip(chipId)))
    await fittedLimits(journal, reckonings, { a: from, b: to });
  return changesOfChip(journal, reckonings, chipId);
}
