import { coverageFactor } from "../../numerics/combinedUncertainty.ts";
import { normalCdf, studentCdf } from "../../numerics/distributions.ts";
import { holmAdjusted } from "../../numerics/holm.ts";
import type { JudgedClock } from "./clockApart.ts";
import type { LoudnessRow } from "./loudness.ts";
import type { JudgedOffsets } from "./offsetsApart.ts";
import type { SameSettingRow } from "./sameSetting.ts";
import { aloneWords, type BudgetLine, budgetTotal, type Verdict, verdictWords } from "./verdict.ts";

/** One of the measures that a comparison is summed up by, judged together with the others. */
export type JudgedTogether = Readonly<{
  measure: "clock" | "offset" | "loadRise" | "noise";
  /** The condition of the one row that speaks for its measure; null where one difference stands for all rows. */
  place: string | null;
  /** How likely so large a difference is between builds alike, the number of measures allowed for; null where nothing can be said. */
  chance: number | null;
  verdict: Verdict;
}>;

export type SummedUp = Readonly<{
  clock: JudgedClock;
  /** Null where the chips are not set by offset. */
  offsets: Pick<JudgedOffsets, "difference" | "low" | "high" | "verdict"> | null;
  heat: SameSettingRow | undefined;
  noise: LoudnessRow | undefined;
}>;

/** Clock or offset, heat and noise at 95 % for all of them together: alike builds differ in any of them one time in twenty at most. */
export function judgedTogether({ clock, offsets, heat, noise }: SummedUp): JudgedTogether[] {
  const alone = [
    ...(clock.differenceMhz === null
      ? []
      : [{ measure: "clock" as const, place: null, ...clock, difference: clock.differenceMhz, budget: [] }]),
    ...(offsets === null || offsets.difference === null
      ? []
      : [
          { measure: "offset" as const, place: null, ...offsets, difference: offsets.difference, budget: [] },
        ]),
    ...(heat === undefined ? [] : [{ ...heat, ...judgedBy(heat), measure: "loadRise" as const }]),
    ...(noise === undefined ? [] : [{ ...noise, ...judgedBy(noise), measure: noise.measure }]),
  ];
  const chances = alone.map(chanceAlone);
  const said = chances.flatMap((chance) => chance ?? []);
  const adjusted = holmAdjusted(said);
  let next = 0;
  return alone.map(({ measure, place, verdict }, i) => {
    const chance = chances[i] === null ? null : adjusted[next++]!;
    const differs = verdict === "differs" && chance !== null && chance < 0.05;
    return { measure, place, chance, verdict: verdict !== "differs" || differs ? verdict : "within-scatter" };
  });
}

/** A row of a comparison as it is judged: of which measure, and under which condition, where its measure has several. */
export type JudgedRow = Readonly<{ measure: string; place: string | null; verdict: Verdict }>;

/** The condition that a row was measured under. */
const placeOf = (row: SameSettingRow | LoudnessRow): string =>
  row.measure === "noise"
    ? [row.workloadId, row.clockMhz, row.voltageMv, row.distanceM].join()
    : [row.workloadId, row.set ?? `${row.clockMhz} ${row.voltageMv}`].join();

export const judgedBy = (row: SameSettingRow | LoudnessRow): Omit<JudgedRow, "verdict"> => ({
  measure: row.measure,
  place: placeOf(row),
});

/** Whether a row differs by itself alone: the sentence claims no difference of its measure, or judged it under another condition. */
export const differsAlone = (row: JudgedRow, together: readonly JudgedTogether[]): boolean =>
  row.verdict === "differs" &&
  !together.some(
    ({ measure, place, verdict }) =>
      measure === row.measure && verdict === "differs" && (place === null || place === row.place),
  );

/** The verdict on a row in words, no louder than the sentence that sums all up. */
export const verdictSaid = (row: JudgedRow, together: readonly JudgedTogether[]): string =>
  differsAlone(row, together) ? aloneWords : verdictWords[row.verdict];

/** Rows that differ with all of them judged together, where nothing sums them up. */
export function standingTogether<Row extends Alone & Readonly<{ verdict: Verdict }>>(
  rows: readonly Row[],
): ReadonlySet<Row> {
  const chances = rows.map(chanceAlone);
  const adjusted = holmAdjusted(chances.flatMap((chance) => chance ?? []));
  let next = 0;
  return new Set(
    rows.filter(({ verdict }, i) => chances[i] !== null && adjusted[next++]! < 0.05 && verdict === "differs"),
  );
}

export type Alone = Readonly<{
  difference: number;
  low: number | null;
  high: number | null;
  budget: readonly BudgetLine[];
}>;

/** Two-sided, from the end that lies nearer to zero: below one in twenty exactly where the interval leaves zero out. */
export function chanceAlone({ difference, low, high, budget }: Alone): number | null {
  const end = difference > 0 ? low : high;
  if (end === null) return low === null && high === null ? null : 1;
  const degrees = budgetTotal(budget)?.degreesOfFreedom ?? Number.POSITIVE_INFINITY;
  const factor = coverageFactor(0.95, degrees)!;
  const t = (factor * Math.abs(difference)) / Math.abs(difference - end);
  const below = Number.isFinite(degrees) ? studentCdf(t, degrees)! : normalCdf(t);
  return Number.isNaN(t) ? 1 : Math.min(1, 2 * (1 - below));
}
