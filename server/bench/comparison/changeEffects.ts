import { holmAdjusted } from "../../numerics/holm.ts";
import { measureTraits, type RunMeasure } from "../runs/comparedRun.ts";
import { type BuildChange, effectsIn } from "./changes.ts";
import type { Comparison } from "./comparison.ts";
import { clockRows, offsetRows } from "./intervalRows.ts";
import type { LoudnessRow } from "./loudness.ts";
import type { JudgedOffsets } from "./offsetsApart.ts";
import { rowSetWords } from "./sameSetting.ts";
import { chanceAlone } from "./together.ts";
import type { Verdict } from "./verdict.ts";

export type EffectMeasure = RunMeasure | "noise" | "clock" | "offset";

/** What one change did to one measure; differences are what it was changed to less what it was. */
export type Effect = BuildChange &
  Readonly<{
    measure: EffectMeasure;
    unit: string;
    difference: number;
    low: number | null;
    high: number | null;
    verdict: Verdict;
    /** How likely so large an effect is of no change, by itself; null where nothing can be said. */
    chance: number | null;
    /** Where it was measured. */
    setting: string;
    runs: readonly [number, number] | null;
    mounts: readonly [number, number] | null;
    smallerThan: "clock-step" | "worth-having" | null;
    wouldDecide: string | null;
  }>;

/** One effect a measure, each where both builds documented it best. */
export function effectsOf(
  change: BuildChange,
  comparison: Limits & Pick<Comparison, "sameSetting" | "noise" | "score">,
  workloadName: (workloadId: string) => string,
): Effect[] {
  const measured = effectsIn(change, [...comparison.sameSetting, ...comparison.score]).map(
    ({ measure, row }): Effect => ({
      ...change,
      measure,
      unit: row.unit,
      difference: row.difference,
      low: row.low,
      high: row.high,
      verdict: row.verdict,
      chance: chanceAlone(row),
      setting: `${workloadName(row.workloadId)}, ${rowSetWords(row, comparison.clockUnit)}`,
      runs: row.runs,
      mounts: row.mounts,
      smallerThan: row.smallerThan,
      wouldDecide: row.wouldDecide,
    }),
  );
  const limits =
    comparison.offsets === null ? clockEffect(change, comparison) : offsetEffect(change, comparison.offsets);
  return [...limits, ...measured, ...noiseEffect(change, comparison.noise, workloadName)];
}

type Limits = Pick<Comparison, "clock" | "clockUnit" | "offsets" | "sameVoltage">;

/** Between fitted limits where there are any, else as observed and not judged. */
function clockEffect(change: BuildChange, comparison: Limits): Effect[] {
  const { clock, clockUnit } = comparison;
  return clockRows(comparison).map(
    ({ value, low, high, setting }): Effect => ({
      ...change,
      measure: "clock",
      unit: clockUnit,
      difference: value,
      low,
      high,
      verdict: clock.differenceMhz === null ? "not-enough" : clock.verdict,
      chance: clock.differenceMhz === null ? null : chanceAlone({ difference: value, low, high, budget: [] }),
      setting,
      runs: null,
      mounts: null,
      smallerThan: clock.smallerThan,
      wouldDecide: null,
    }),
  );
}

/** On the mean over the parts between fitted limits, else as observed on the first part and not judged. */
function offsetEffect(change: BuildChange, offsets: JudgedOffsets): Effect[] {
  const { axis, verdict, difference: fitted } = offsets;
  return offsetRows(offsets)
    .slice(0, 1)
    .map(
      ({ value, low, high, setting }): Effect => ({
        ...change,
        ...{ measure: "offset", unit: axis.unit, difference: value, low, high, setting },
        verdict: fitted === null ? "not-enough" : verdict,
        chance: fitted === null ? null : chanceAlone({ difference: value, low, high, budget: [] }),
        ...{ runs: null, mounts: null, smallerThan: null, wouldDecide: null },
      }),
    );
}

/** The loudest condition that could be judged: what it says has no part in the choice. */
function noiseEffect(
  change: BuildChange,
  rows: readonly LoudnessRow[],
  workloadName: (workloadId: string) => string,
): Effect[] {
  const loudest = [...rows].sort((first, second) => second.a - first.a);
  const row = loudest.find(({ verdict }) => verdict !== "not-enough") ?? loudest[0];
  if (row === undefined) return [];
  const where = row.distanceM === null ? "at 1 m, worked out" : `at ${row.distanceM} m`;
  return [
    {
      ...change,
      measure: "noise",
      unit: row.unit,
      difference: row.difference,
      low: row.low,
      high: row.high,
      verdict: row.verdict,
      chance: chanceAlone(row),
      setting: `${row.workloadId === null ? "fans only" : workloadName(row.workloadId)}, ${where}`,
      runs: row.runs,
      mounts: null,
      smallerThan: row.smallerThan,
      wouldDecide: null,
    },
  ];
}

/** The effects that differ with all of them judged together: of changes that do nothing, one page in twenty claims any. */
export function effectsThatStand(effects: readonly Effect[]): Effect[] {
  const said = effects.filter(({ chance }) => chance !== null);
  const adjusted = holmAdjusted(said.map(({ chance }) => chance!));
  return said.filter(({ verdict }, i) => verdict === "differs" && adjusted[i]! < 0.05);
}

/** What a tester looks for first. */
const order: readonly EffectMeasure[] = [
  "loadRise",
  "noise",
  "clock",
  "offset",
  "power",
  "score",
  "peakRise",
  "idleRise",
  "supplyRise",
  "fan",
  "effectiveClock",
];

export type MeasureEffects = Readonly<{ measure: EffectMeasure; effects: readonly Effect[] }>;

/** Measure by measure, the largest effect first; those that nothing can be said of come last. */
export const effectsByMeasure = (effects: readonly Effect[]): MeasureEffects[] =>
  order.flatMap((measure) => {
    const of = effects.filter((effect) => effect.measure === measure);
    return of.length === 0 ? [] : [{ measure, effects: of.sort(largestFirst) }];
  });

const unsaid = ({ verdict }: Effect): number => (verdict === "not-enough" ? 1 : 0);
const largestFirst = (first: Effect, second: Effect): number =>
  unsaid(first) - unsaid(second) || Math.abs(second.difference) - Math.abs(first.difference);

export const effectWords = (measure: EffectMeasure): string =>
  measure === "noise"
    ? "loudness"
    : measure === "clock"
      ? "clock at one voltage"
      : measure === "offset"
        ? "limit along the offset"
        : measureTraits[measure].words;
