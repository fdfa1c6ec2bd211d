import type { TaggedRun } from "../bench/runs/runRow.ts";
import type { Chip } from "../bench/things/chip.ts";
import { type Knob, knobAt } from "../bench/things/knob.ts";
import { rowsMemory } from "../bench/things/rowsMemory.ts";

const said = rowsMemory<readonly TaggedRun[]>();

/**
 * The same runs, those by offset with every knob said: one that was not stood as usual, so that both are known by the same
 * setting. The same array for the same runs and knobs.
 */
export function withKnobsSaid(runs: readonly TaggedRun[], knobs: readonly Knob[]): readonly TaggedRun[] {
  if (knobs.length === 0) return runs;
  const key = JSON.stringify(knobs.map(({ id, usual }) => [id, usual]));
  return said(runs, key, () =>
    runs.map((run) =>
      run.offset == null && run.offsets == null ? run : { ...run, knobs: knobsOf(run, knobs) },
    ),
  );
}

const knobsOf = (run: TaggedRun, knobs: readonly Knob[]): TaggedRun["knobs"] => ({
  ...run.knobs,
  ...Object.fromEntries(knobs.map((knob) => [knob.id, knobAt(knob, run.knobs ?? null)])),
});

/** The knobs of a chip that is set by offset, and those that only another has. */
export function knobsOfBoth(own: Chip, other: Chip): readonly Knob[] {
  if (own.axis !== "offset") return [];
  const ids = new Set(own.knobs.map(({ id }) => id));
  return [...own.knobs, ...other.knobs.filter(({ id }) => !ids.has(id))];
}
