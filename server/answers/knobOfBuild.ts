import { benchCostsFrom } from "../bench/next/benchCosts.ts";
import { isSearched, type KnobNext, type KnobSearch, type SearchedKnob } from "../bench/scale/knobSearch.ts";
import type { Use } from "../bench/things/aim.ts";
import type { Chip } from "../bench/things/chip.ts";
import { invalid } from "../bench/things/refusal.ts";
import type { Journal } from "../store/file/journal.ts";
import { buildAsked } from "./buildAsked.ts";
import type { FitQuestion } from "./limitOfBuild.ts";
import { underFirmware } from "./underFirmware.ts";

export type BuildKnobQuestion = Readonly<{
  buildId: string;
  knobId: string;
  workloadId?: string | null | undefined;
  minutes?: number | null | undefined;
  use?: Use | undefined;
}>;

/** How far one knob of a build goes, all else as it stands, and what to try next of it. */
export const knobNextQuestion = (
  journal: Journal,
  asked: BuildKnobQuestion,
): FitQuestion<KnobNext, KnobSearch> => ({
  kind: "knobNext",
  key: JSON.stringify(asked),
  request: () => searchOf(journal, asked),
});

function searchOf(
  journal: Journal,
  { buildId, knobId, workloadId, minutes, use }: BuildKnobQuestion,
): KnobSearch {
  const { build, chip, workloads } = buildAsked(journal, { buildId, workloadId });
  const rows = journal.attempts.triedOf(buildId);
  return {
    ...{ chip, knobId, hottestAmbientC: build.hottestAmbientC },
    rows: underFirmware(journal, buildId, rows),
    workloads: [...workloads.values()],
    use: use ?? build.use,
    workloadId: workloadId ?? null,
    minutes: minutes ?? null,
    costs: benchCostsFrom(rows),
  };
}

/** The knob of that id, where it can be searched; otherwise why not. */
export function knobSearched({ knobs }: Pick<Chip, "knobs">, id: string): SearchedKnob {
  const knob = knobs.find((one) => one.id === id);
  if (knob !== undefined && isSearched(knob)) return knob;
  const names = knobs.filter(isSearched).map((one) => one.id);
  const words =
    knob === undefined
      ? "The chip has no knob of that id."
      : `${knob.name} has no step and one direction, so there is no way to look along it.`;
  const others = names.length === 0 ? "" : ` One of: ${names.join(", ")}.`;
  throw invalid(`${words}${others}`, { knob: `${words}${others}` });
}
