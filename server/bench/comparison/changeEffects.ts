import { measureTraits, type RunMeasure } from "../runs/comparedRun.ts";
import { megahertz, volts } from "../things/words.ts";
import { type Change, effectsIn } from "./changes.ts";
import type { Comparison } from "./comparison.ts";
import type { LoudnessRow } from "./loudness.ts";
import type { SameVoltageRow } from "./sameVoltage.ts";
import { tellingClock } from "./sentence.ts";
import type { Verdict } from "./verdict.ts";

export type EffectMeasure = RunMeasure | "noise" | "clock";

/** What one change did to one measure; differences are what it was changed to less what it was. */
export type Effect = Change &
  Readonly<{
    measure: EffectMeasure;
    unit: string;
    difference: number;
    low: number | null;
    high: number | null;
    verdict: Verdict;
    /** Where it was measured. */
    setting: string;
    runs: readonly [number, number] | null;
    mounts: readonly [number, number] | null;
    smallerThan: "clock-step" | "worth-having" | null;
    wouldDecide: string | null;
  }>;

/** One effect a measure, each where both builds documented it best. */
export function effectsOf(
  change: Change,
  comparison: Pick<Comparison, "sameVoltage" | "sameSetting" | "noise" | "score">,
  workloadName: (workloadId: string) => string,
): Effect[] {
  const clock = tellingClock(comparison.sameVoltage);
  const measured = effectsIn(change, [...comparison.sameSetting, ...comparison.score]).map(
    ({ measure, row }): Effect => ({
      ...change,
      measure,
      unit: row.unit,
      difference: row.difference,
      low: row.low,
      high: row.high,
      verdict: row.verdict,
      setting: `${workloadName(row.workloadId)}, ${megahertz(row.clockMhz)}, ${volts(row.voltageMv)}`,
      runs: row.runs,
      mounts: row.mounts,
      smallerThan: row.smallerThan,
      wouldDecide: row.wouldDecide,
    }),
  );
  return [
    ...(clock === undefined ? [] : clockEffect(change, clock)),
    ...measured,
    ...noiseEffect(change, comparison.noise, workloadName),
  ];
}

/** Between fitted limits where there are any, else as observed and not judged. */
function clockEffect(change: Change, row: SameVoltageRow): Effect[] {
  const isFitted = row.aLimitMhz !== null && row.bLimitMhz !== null;
  const difference = isFitted ? row.bLimitMhz! - row.aLimitMhz! : row.differenceMhz;
  if (difference === null) return [];
  return [
    {
      ...change,
      measure: "clock",
      unit: "MHz",
      difference,
      low: isFitted ? row.low : (row.bracket?.atLeastMhz ?? null),
      high: isFitted ? row.high : (row.bracket?.atMostMhz ?? null),
      verdict: row.verdict,
      setting: volts(row.voltageMv),
      runs: null,
      mounts: null,
      smallerThan: row.smallerThan,
      wouldDecide: null,
    },
  ];
}

/** The condition judged to differ, else the loudest under load. */
function noiseEffect(
  change: Change,
  rows: readonly LoudnessRow[],
  workloadName: (workloadId: string) => string,
): Effect[] {
  const loudest = [...rows].sort((first, second) => second.a - first.a);
  const row = loudest.find(({ verdict }) => verdict === "differs") ?? loudest[0];
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
      setting: `${row.workloadId === null ? "fans only" : workloadName(row.workloadId)}, ${where}`,
      runs: row.runs,
      mounts: null,
      smallerThan: row.smallerThan,
      wouldDecide: null,
    },
  ];
}

/** What a tester looks for first. */
const order: readonly EffectMeasure[] = [
  "loadRise",
  "noise",
  "clock",
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
      : measureTraits[measure].words;
