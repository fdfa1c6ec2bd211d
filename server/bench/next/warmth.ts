import { evidenceClockMhz } from "../frontier/evidence.ts";
import { endedByHeat, heatEndsOf } from "../frontier/heatEnds.ts";
import { marginReadAt, marginState, wholeDegrees } from "../frontier/margin.ts";
import { type HeatBounds, heatBoundsOf } from "../heat/heatBounds.ts";
import type { HeatForecast, LawOfHeat } from "../heat/lawOfHeat.ts";
import type { Use } from "../things/aim.ts";
import type { Chip } from "../things/chip.ts";
import type { EvidenceRow } from "../things/evidenceRow.ts";
import type { Setting } from "../things/setting.ts";
import { clockWords, volts } from "../things/words.ts";
import type { Workload } from "../things/workload.ts";

/** What is known of how warm settings of a build run. */
export type Warmth = Readonly<{
  /** Null where no attempt says anything of the build's heat. */
  law: LawOfHeat | null;
  /** Attempts that heat ended: nothing as hot is an answer. */
  heatEnds: readonly EvidenceRow[];
  /** Settings whose own passes were read over the limit, for the hottest room planned for. */
  readOver: readonly ReadOver[];
  workloadId: string | null;
  hottestAmbientC: number;
  chip: Pick<Chip, "tempLimitC" | "warnMarginC" | "clockUnit">;
  /** What is left at any place, by how warm the main one is read. */
  bounds: HeatBounds;
  /** The owner's guard: what daily use adds to the voltage at the same clock. */
  guardMv: number;
}>;

type ReadOver = Setting & Readonly<{ overC: number }>;

export type WarmthQuestion = Readonly<{
  chip: Chip;
  hottestAmbientC: number;
  workloads: readonly Workload[];
  use?: Use;
}>;

/** `rows` are the attempts under load. */
export const warmthOf = (
  { chip, hottestAmbientC, workloads, use }: WarmthQuestion,
  rows: readonly EvidenceRow[],
  law: LawOfHeat | null,
  workloadId: string | null,
): Warmth => ({
  law,
  heatEnds: heatEndsOf(rows, workloads, workloadId),
  readOver: readOverOf(rows, chip, hottestAmbientC),
  workloadId,
  hottestAmbientC,
  chip,
  bounds: heatBoundsOf(chip, rows),
  guardMv: use === "daily" ? chip.voltageStepMv : 0,
});

function readOverOf(rows: readonly EvidenceRow[], chip: Chip, hottestAmbientC: number): ReadOver[] {
  const passed = rows.filter(({ outcome }) => outcome === "pass");
  const settings = new Map(
    passed.flatMap((row) => {
      const clockMhz = evidenceClockMhz(row);
      const { voltageMv } = row;
      return clockMhz === null ? [] : [[`${clockMhz}@${voltageMv}`, { clockMhz, voltageMv }] as const];
    }),
  );
  return [...settings.values()].flatMap((setting) => {
    const { marginC } = marginReadAt(passed, setting, chip, hottestAmbientC);
    return marginState(marginC, chip.warnMarginC) === "over" ? [{ ...setting, overC: -(marginC ?? 0) }] : [];
  });
}

/** In the hottest room planned for; null where nothing is known of the build's heat. */
export const loadTempAt = (
  { law, workloadId, hottestAmbientC }: Warmth,
  { clockMhz, voltageMv }: Setting,
): HeatForecast | null =>
  law?.forecast({ clockMhz, voltageMv, workloadId, ambientC: hottestAmbientC }) ?? null;

/** The share of the half-width by which eight forecasts in ten stay under: a normal's 0.84 of 1.645 deviations. */
const eightInTen = 0.84 / 1.645;

/** Why a setting runs too warm to be the answer, the owner's guard in its voltage; null where it does not. */
export const whyTooWarm = (warmth: Warmth, { clockMhz, voltageMv }: Setting): string | null =>
  heatObjectionTo(warmth, { clockMhz, voltageMv: voltageMv + warmth.guardMv });

/** The same of a setting as it would be told: heat ended it, or it is forecast within the warning margin. */
export function heatObjectionTo(warmth: Warmth, setting: Setting): string | null {
  const hot = endedByHeat(warmth.heatEnds, setting);
  if (hot !== undefined)
    return `Heat ended ${clockWords(hot.clockMhz, warmth.chip.clockUnit)} at ${volts(hot.voltageMv)}, which heats no more.`;
  const over = warmth.readOver.find(
    ({ clockMhz, voltageMv }) =>
      clockMhz === setting.clockMhz &&
      voltageMv <= setting.voltageMv &&
      voltageMv >= setting.voltageMv - warmth.guardMv,
  );
  if (over !== undefined)
    return `What was read there lies ${wholeDegrees(over.overC)} °C over the limit in a room of ${warmth.hottestAmbientC} °C.`;
  const loadTempC = loadTempAt(warmth, setting);
  if (loadTempC === null) return null;
  const { mid, high } = loadTempC;
  const { hottestAmbientC, bounds, chip } = warmth;
  const { marginC, place, limitC } = bounds.leastMargin(mid + eightInTen * (high - mid), hottestAmbientC);
  const limit = place === null ? `the limit of ${limitC} °C` : `what the ${place} may reach, ${limitC} °C`;
  return marginC < chip.warnMarginC
    ? `In a room of ${hottestAmbientC} °C it is forecast to reach ${Math.round(mid)} °C (up to ${Math.round(high)} °C), too near ${limit}.`
    : null;
}

/** What is left at the place that has least, at a temperature forecast of the main one in the hottest room planned for. */
export const marginAt = ({ bounds, hottestAmbientC }: Warmth, mainC: number): number =>
  bounds.leastMargin(mainC, hottestAmbientC).marginC;

/** The same desk as if nothing were known of heat. */
export const whateverTheHeat = <Desk extends Readonly<{ warmth: Warmth }>>(desk: Desk): Desk => ({
  ...desk,
  warmth: { ...desk.warmth, law: null, heatEnds: [], readOver: [] },
});
