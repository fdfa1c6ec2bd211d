import { coverageFactor } from "../../numerics/combinedUncertainty.ts";
import { normalCdf, studentCdf } from "../../numerics/distributions.ts";
import { holmAdjusted } from "../../numerics/holm.ts";
import type { JudgedClock } from "./clockApart.ts";
import type { LoudnessRow } from "./loudness.ts";
import type { JudgedOffsets } from "./offsetsApart.ts";
import type { SameSettingRow } from "./sameSetting.ts";
import { type BudgetLine, budgetTotal, type Verdict } from "./verdict.ts";

/** One of the measures that a comparison is summed up by, judged together with the others. */
export type JudgedTogether = Readonly<{
  measure: "clock" | "offset" | "loadRise" | "noise";
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
      : [{ measure: "clock" as const, ...clock, difference: clock.differenceMhz, budget: [] }]),
    ...(offsets === null || offsets.difference === null
      ? []
      : [{ measure: "offset" as const, ...offsets, difference: offsets.difference, budget: [] }]),
    ...(heat === undefined ? [] : [{ ...heat, measure: "loadRise" as const }]),
    ...(noise === undefined ? [] : [noise]),
  ];
  const chances = alone.map(chanceAlone);
  const said = chances.flatMap((chance) => chance ?? []);
  const adjusted = holmAdjusted(said);
  let next = 0;
  return alone.map(({ measure, verdict }, i) => {
    const chance = chances[i] === null ? null : adjusted[next++]!;
    const differs = verdict === "differs" && chance !== null && chance < 0.05;
    return { measure, chance, verdict: verdict !== "differs" || differs ? verdict : "within-scatter" };
  });
}

/** Whether a row differs by itself alone: its measure does not with all that the sentence judges. */
export const differsAlone = (
  measure: string,
  verdict: Verdict,
  together: readonly JudgedTogether[],
): boolean =>
  verdict === "differs" && together.some((one) => one.measure === measure && one.verdict !== "differs");

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
