import type { OrderedTry } from "../frontier/evidence.ts";
import { type OffsetFrontier, offsetFrontierOf } from "../frontier/offsetFrontier.ts";
import { offsetTrialsOf, type TogetherTrial } from "../frontier/offsetTrials.ts";
import type { SharpnessPrior } from "../limit/sharpness.ts";
import type { NextQuestion } from "../next/nextAnswer.ts";
import { knobShiftsOf } from "../order/knobShifts.ts";
import type { KnobOrder } from "../order/knobs.ts";
import { isElsewhere } from "../order/loadsThatSpeak.ts";
import { hardnessOf, type OffsetMeaning } from "../order/partsOfRun.ts";
import { type OrderTerms, orderTermsOf } from "../order/terms.ts";
import type { Use } from "../things/aim.ts";
import type { Chip } from "../things/chip.ts";
import type { Requirement } from "../things/rule.ts";
import type { Workload } from "../things/workload.ts";
import { scaleOfOffset } from "./scale.ts";
import type { ScaleQuestion } from "./scaleDesk.ts";
import type { KnobLevels, LevelRow } from "./scaleFit.ts";

/** What is asked of a chip that is set by offset. Plain values, so that it can be handed to a worker. */
export type OffsetSearch = Readonly<{
  chip: Chip;
  hottestAmbientC: number;
  rows: readonly OrderedTry[];
  workloads: readonly Workload[];
  requires: readonly Requirement[];
  use: Use;
  workloadId?: string | null;
  /** The part to look at; the first that is not known yet where none is named. */
  part?: string | null;
  minutes?: number | null;
  costs?: NextQuestion["costs"];
  /** The first run of a build that nothing ran on: the chip as it comes. */
  begin?: Readonly<{ workloadId: string; durationS: number }> | null;
  sharpness?: SharpnessPrior;
  seed?: number;
}>;

/** The parts of a chip, each as a scale of its own, and what the record says of them without a model. */
export type PartScales = Readonly<{
  parts: readonly (string | null)[];
  questionOf: (part: string | null) => ScaleQuestion;
  frontier: OffsetFrontier;
  /** The attempts under which all parts ran, each with its hardness part by part. */
  together: readonly TogetherTrial[];
  harder: "up" | "down";
  step: number;
}>;

/** Null where the chip is not set by offset. */
export function partScalesOf(search: OffsetSearch): PartScales | null {
  const { chip, workloads, workloadId = null } = search;
  const terms = orderTermsOf(chip);
  if (terms.offset === null || chip.offset === null) return null;
  const meaning = terms.offset;
  const byId = new Map(workloads.map((load) => [load.id, load]));
  const asked = workloadId === null ? null : (byId.get(workloadId) ?? null);
  const seen = offsetTrialsOf({ rows: search.rows, workloads: byId, asked: null }, terms, meaning);
  const scale = scaleOfOffset({ ...chip, offset: chip.offset });
  const rowsOf = (part: string | null): PartRows =>
    partRowsOf(seen.trialsOf(part), seen.order, byId, asked, { terms, harder: meaning.harder });
  const others = (part: string | null) =>
    seen.parts.flatMap((other) =>
      other === null || other === part ? [] : [{ name: other, rows: rowsOf(other).rows }],
    );
  return {
    parts: seen.parts,
    together: seen.together,
    harder: meaning.harder,
    step: chip.offset.step,
    frontier: offsetFrontierOf({ ...search, workloads: byId, asked, terms }, meaning),
    questionOf: (part) => ({
      ...{ scale, chip, workloads, workloadId: workloadId ?? loadAloneOf(part, search) },
      hottestAmbientC: search.hottestAmbientC,
      ...rowsOf(part),
      otherParts: others(part),
      use: search.use,
      minutes: search.minutes ?? null,
      ...(search.costs && { costs: search.costs }),
      ...(search.sharpness && { sharpness: search.sharpness }),
      ...(search.seed !== undefined && { seed: search.seed }),
    }),
  };
}

/** The load under which a part was tried by itself last: what all do together under another says too little of its limit. */
function loadAloneOf(part: string | null, { rows, workloads }: OffsetSearch): string | null {
  const idle = new Set(workloads.filter(({ kind }) => kind === "idle").map(({ id }) => id));
  const last = rows.findLast((row) => part !== null && row.part === part && !idle.has(row.workloadId));
  return last?.workloadId ?? null;
}

type Trials = ReturnType<ReturnType<typeof offsetTrialsOf>["trialsOf"]>;
type PartRows = Readonly<{ rows: LevelRow[]; knobs: KnobLevels | null }>;

/**
 * What speaks of a part with the knobs as they stand now, which is as in its latest attempt: what survived with them as
 * hard or harder, what failed with them as hard or easier; and what those with other knobs teach beyond it.
 */
function partRowsOf(
  trials: Trials,
  order: KnobOrder,
  workloads: ReadonlyMap<string, Workload>,
  asked: Workload | null,
  { terms, harder }: Readonly<{ terms: OrderTerms; harder: OffsetMeaning["harder"] }>,
): PartRows {
  const now = trials.at(-1)?.group;
  if (now === undefined) return { rows: [], knobs: null };
  const looked = trials.flatMap((trial) => {
    const isCrash = trial.class === "crash";
    const load = workloads.get(trial.row.workloadId);
    if (trial.clockMhz === null || load === undefined) return [];
    if (asked !== null && !isCrash && isElsewhere(load, asked)) return [];
    const speaks = isCrash ? order.isAsHard(now, trial.group) : order.isAsHard(trial.group, now);
    return [
      { speaks, group: trial.group, at: { row: trial.row, level: hardnessOf(trial.clockMhz, harder) } },
    ];
  });
  const rows = looked.flatMap(({ speaks, at }) => (speaks ? [at] : []));
  return { rows, knobs: looked.at(-1)?.group === now ? knobLevelsOf(looked, terms) : null };
}

type Looked = Readonly<{ speaks: boolean; at: LevelRow }>;

/** Settings in doubt are left out already. */
function knobLevelsOf(looked: readonly Looked[], terms: OrderTerms): KnobLevels | null {
  const levels = new Map(looked.map(({ at }) => [at.row.id, at]));
  const placed = looked.map(({ at }) => ({ ...at.row, clockMhz: at.level, voltageMv: 0 }));
  const speaking = new Set(placed.filter((_, i) => looked[i]?.speaks));
  const shifts = knobShiftsOf(placed, { ...terms, appliedBy: "firmware" }, speaking);
  return shifts && { ...shifts, elsewhere: shifts.elsewhere.flatMap(({ id }) => levels.get(id) ?? []) };
}
