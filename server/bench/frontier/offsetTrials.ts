import { settingsInDoubt } from "../order/appliedSettings.ts";
import { groupsOf } from "../order/groups.ts";
import type { KnobOrder } from "../order/knobs.ts";
import { silenceOf } from "../order/loadsThatSpeak.ts";
import {
  hardnessOf,
  type OffsetMeaning,
  type OffsetRun,
  offsetOfPart,
  partStandsOf,
  partsNamed,
} from "../order/partsOfRun.ts";
import { classOn, type OrderTerms } from "../order/terms.ts";
import { outcomeClass } from "../things/outcome.ts";
import type { AnyTrial, LookedAt, OrderedTry } from "./evidence.ts";
import type { FrontierQuestion } from "./frontierPoint.ts";

/** What a chip's attempts say of each of its parts; a chip that is set as a whole has one, without a name. */
export type OffsetTrials = Readonly<{
  parts: readonly (string | null)[];
  /** Of each part: the clock of a trial is its hardness, its voltage nothing. */
  trialsOf: (part: string | null) => readonly AnyTrial[];
  order: KnobOrder;
  /** The attempts under which all parts ran, with the hardness of each. */
  together: readonly TogetherTrial[];
  leftOut: LookedAt["leftOut"];
}>;

export type TogetherTrial = Readonly<{
  row: OrderedTry;
  class: AnyTrial["class"];
  hardness: readonly number[];
  group: AnyTrial["group"];
}>;

type OffsetTerms = Pick<OrderTerms, "knobs" | "appliedBy" | "coldBelowC">;
type Run = OffsetRun & Readonly<{ row: OrderedTry }>;

export function offsetTrialsOf(
  question: Pick<FrontierQuestion<OrderedTry>, "rows" | "workloads" | "asked">,
  terms: OffsetTerms,
  meaning: OffsetMeaning,
): OffsetTrials {
  const named = partsNamed(question.rows.map(runOf), meaning.parts);
  const { runs, leftOut } = runsLookedAt(question, terms);
  const placed = runs.flatMap((run) =>
    partStandsOf(run, named, meaning).map(({ part, offset, class: kind }) => ({
      part,
      row: run.row,
      class: kind,
      clockMhz: hardnessOf(offset, meaning.harder),
      voltageMv: 0,
    })),
  );
  // What ties two firmwares is one part at one offset, so the part goes with the load; a run that speaks of no part ties none.
  const tying = placed.map((one) => ({
    ...one,
    row: { ...one.row, workloadId: `${one.row.workloadId} ${one.part}` },
  }));
  const untying = runs.map(({ row, class: kind }) => ({ row, class: kind, clockMhz: null, voltageMv: 0 }));
  const { order, groupOf } = groupsOf(terms.knobs, [...tying, ...untying]);
  const trialsOf = new Map<string | null, AnyTrial[]>();
  for (const { part, ...one } of placed) {
    const own = trialsOf.get(part) ?? [];
    trialsOf.set(part, own);
    own.push({ ...one, group: groupOf(one) });
  }
  return {
    parts: named.length === 0 ? [null] : named,
    trialsOf: (part) => trialsOf.get(part) ?? [],
    order,
    together: runs
      .filter(({ part }) => part === null)
      .flatMap((run): TogetherTrial[] => {
        const offsets = named.map((part) => offsetOfPart(run, part));
        if (offsets.includes(null)) return [];
        const hardness = offsets.map((offset) => hardnessOf(offset as number, meaning.harder));
        const first = { row: run.row, class: run.class, clockMhz: hardness[0] ?? 0, voltageMv: 0 };
        return [{ row: run.row, class: run.class, hardness, group: groupOf(first) }];
      }),
    leftOut,
  };
}

const runOf = (row: OrderedTry): Run => ({
  row,
  class: outcomeClass(row.outcome),
  offset: row.offset,
  offsets: row.offsets,
  part: row.part,
  crashPart: row.crashPart,
});

/** Boost attempts count on an offset chip: nobody sets its clock. */
function runsLookedAt(
  { rows, workloads, asked }: Pick<FrontierQuestion<OrderedTry>, "rows" | "workloads" | "asked">,
  terms: OffsetTerms,
): Readonly<{ runs: readonly Run[]; leftOut: LookedAt["leftOut"] }> {
  const leftOut = { idle: 0, boost: 0, otherWorkload: 0, inDoubt: 0 };
  const inDoubt = settingsInDoubt(rows, terms.appliedBy);
  const runs = rows.flatMap((row): Run[] => {
    const run = { ...runOf(row), class: classOn(terms, row) };
    const silence = silenceOf(workloads.get(row.workloadId), run.class, { asked, alongCurve: true });
    if (silence !== null) leftOut[silence] += 1;
    else if (inDoubt.has(row.id) && run.class !== "crash") leftOut.inDoubt += 1;
    else return [run];
    return [];
  });
  return { runs, leftOut };
}
