import type { Attempt } from "../things/attempt.ts";
import { offsetOf } from "../things/setting.ts";

/** What makes a heat run comparable: what was set, the knobs beside it, and what loaded the chip. */
export type LikeRun = Pick<
  Attempt,
  "buildId" | "workloadId" | "clockMhz" | "voltageMv" | "offset" | "offsets" | "part" | "knobs"
>;

export type Unlike = "load" | "setting" | "knobs";

const sorted = (named: Readonly<Record<string, unknown>> | null | undefined): unknown =>
  Object.entries(named ?? {}).toSorted(([a], [b]) => (a < b ? -1 : 1));

const keys: Readonly<Record<Unlike, (run: LikeRun) => unknown>> = {
  load: ({ workloadId }) => workloadId,
  setting: (run) => [run.clockMhz, run.voltageMv, offsetOf(run), sorted(run.offsets), run.part],
  knobs: ({ knobs }) => sorted(knobs),
};

const kinds = Object.keys(keys) as Unlike[];

const keyOf = (run: LikeRun): string => JSON.stringify(kinds.map((kind) => keys[kind](run)));

/** In what these runs are unlike: nothing where each ran at the same setting under the same load. */
export const unlikeIn = (runs: readonly LikeRun[]): readonly Unlike[] =>
  kinds.filter((kind) => new Set(runs.map((run) => JSON.stringify(keys[kind](run)))).size > 1);

/**
 * The newest run of each build at every setting and load that was run, from runs newest first. The one that most builds
 * ran comes first; of as many, the one that was run last.
 */
export function likeGroups<Run extends LikeRun>(runs: readonly Run[]): readonly (readonly Run[])[] {
  const groups = new Map<string, Map<string, Run>>();
  for (const run of runs) {
    const group = groups.get(keyOf(run)) ?? new Map<string, Run>();
    groups.set(keyOf(run), group);
    if (!group.has(run.buildId)) group.set(run.buildId, run);
  }
  return [...groups.values()].map((group) => [...group.values()]).sort((a, b) => b.length - a.length);
}
