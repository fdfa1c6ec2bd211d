import { LRUCache } from "lru-cache";
import type { HeatForecast, HeatSetting, LawOfHeat } from "../heat/lawOfHeat.ts";
import { type BuildHeat, buildHeatOf, limitRecordsOf, loadedRows } from "../limit/limitEvidence.ts";
import { fitOf, type LimitContext, type LimitFit, limitGroundsOf } from "../limit/limitFit.ts";
import type { LimitFrame } from "../limit/limitFrame.ts";
import { baseSharpness, type SharpnessPrior } from "../limit/sharpness.ts";
import type { KnobShifts } from "../order/knobShifts.ts";
import type { Chip } from "../things/chip.ts";
import type { EvidenceRow, TriedRow } from "../things/evidenceRow.ts";
import type { Workload } from "../things/workload.ts";
import { type Scale, type ScaleAsClock, scaleAsClock } from "./scale.ts";

/** An attempt at a level of the scale. */
export type LevelRow = Readonly<{ row: TriedRow; level: number }>;

/** What attempts with other knobs teach along the scale. */
export type KnobLevels = KnobShifts<LevelRow>;

/** Everything the fit along a scale looks at. Plain values, so that it can be handed to a worker. */
export type ScaleContext = Readonly<{
  scale: Scale;
  chip: Chip;
  hottestAmbientC: number;
  rows: readonly LevelRow[];
  knobs?: KnobLevels | null;
  workloads: readonly Workload[];
  /** Other parts of the chip, whose limits lie elsewhere by a percent or so and are as sharp. */
  otherParts?: readonly Readonly<{ name: string; rows: readonly LevelRow[] }>[];
  sharpness?: SharpnessPrior;
  seed?: number;
}>;

export type ScaleFit = Readonly<{
  fit: LimitFit;
  /** The question as the limit's machinery asks it: the level as a clock, one voltage. */
  asClock: LimitContext;
  layout: ScaleAsClock;
}>;

/** The limit of a scale lies about 7 % of the chip's clock beyond stock, give or take 7 %. */
const headroom = { mean: 0.07, sd: 0.07 };

/** Of a scale whose step is worth what is usual, the sharpness is less sure by as much. */
const believedSharpness: SharpnessPrior = { ...baseSharpness, version: "scale 1", scale: 0.95 };

/** The one voltage of a scale laid out as clocks. */
export const scaleVoltageMv = 1000;

/** The last few fits: a search asks for the next attempt and the answer of each part in turn. */
const lastFits = new LRUCache<string, Readonly<{ fit: ScaleFit | null }>>({ max: 32 });

/** The posterior of the limit along a scale. */
export function scaleFitOf(context: ScaleContext): ScaleFit | null {
  const { scale, chip, hottestAmbientC, rows, workloads, otherParts, sharpness, seed } = context;
  const key = JSON.stringify([
    ...[scale, chip, hottestAmbientC, rows, workloads],
    ...[context.knobs ?? null, otherParts ?? [], sharpness?.version ?? "", seed ?? 1],
  ]);
  const known = lastFits.get(key);
  if (known !== undefined) return known.fit;
  const fit = fittedOf(context);
  lastFits.set(key, { fit });
  return fit;
}

function fittedOf(context: ScaleContext): ScaleFit | null {
  const { scale, workloads } = context;
  const layout = scaleAsClock(scale);
  const asClock = asClockOf(context, layout);
  const grounds = limitGroundsOf(asClock);
  if (grounds === null) return null;
  const frame: LimitFrame = { ...grounds.frame, headroom };
  const rowsAndHeat = (rows: readonly EvidenceRow[], warmed: readonly EvidenceRow[] = []) => {
    const loaded = loadedRows(rows, workloads);
    return { loaded, heat: heatAlong(scale, layout, [...loaded, ...warmed], frame) };
  };
  const elsewhere = loadedRows(asClock.knobs?.elsewhere ?? [], workloads);
  const own = rowsAndHeat(asClock.rows, elsewhere);
  const named = new Map((asClock.otherBuilds ?? []).map((other) => [other.name, other.rows]));
  const records = [
    ...limitRecordsOf(own.loaded, own.heat, 0, { shifts: context.knobs?.of }),
    ...limitRecordsOf(elsewhere, own.heat, 0, { shifts: context.knobs?.of }),
    ...grounds.taughtBy.flatMap((name, i) => {
      const other = rowsAndHeat(named.get(name) ?? []);
      return limitRecordsOf(other.loaded, other.heat, i + 1);
    }),
  ];
  return { fit: fitOf({ ...grounds, frame, heat: own.heat, records }, context.seed ?? 1), asClock, layout };
}

function asClockOf(context: ScaleContext, layout: ScaleAsClock): LimitContext {
  const { chip, scale, rows, workloads, hottestAmbientC, otherParts = [], seed } = context;
  const { knobs } = context;
  const sharpness = context.sharpness ?? (scale.known ? baseSharpness : believedSharpness);
  return {
    chip: {
      ...chip,
      stockClockMhz: layout.stockParts,
      stockVoltageMv: scaleVoltageMv,
      voltageCeilingMv: scaleVoltageMv,
      clockStepMhz: layout.stepParts,
      clockGrid: [],
    },
    hottestAmbientC,
    rows: rows.map((one) => rowAsClock(one, layout)),
    ...(knobs && { knobs: { ...knobs, elsewhere: knobs.elsewhere.map((one) => rowAsClock(one, layout)) } }),
    workloads,
    otherBuilds: otherParts.map(({ name, rows: theirs }) => ({
      name,
      rows: theirs.map((one) => rowAsClock(one, layout)),
    })),
    sharpness,
    ...(seed !== undefined && { seed }),
  };
}

/** Clock and voltage of such an attempt are readings, and say nothing more of how hard it was. */
const rowAsClock = ({ row, level }: LevelRow, layout: ScaleAsClock): EvidenceRow => ({
  ...row,
  clockMhz: layout.partsAt(level),
  voltageMv: scaleVoltageMv,
  effectiveClockMhz: null,
  throttled: null,
  clockMode: null,
});

/**
 * The heat along a scale. Less voltage heats less and a higher clock more, so a scale that is harder downward is read as
 * voltages at one clock, and one that is harder upward as clocks at one voltage.
 */
function heatAlong(
  scale: Scale,
  layout: ScaleAsClock,
  rows: readonly EvidenceRow[],
  frame: LimitFrame,
): BuildHeat {
  if (scale.harder === "up") return buildHeatOf(rows, frame);
  const voltageAt = (parts: number): number =>
    Math.max(300, scaleVoltageMv * (1 - (parts / layout.stockParts - 1) / voltageShare));
  const turned = rows.map((row) => ({
    ...row,
    clockMhz: layout.stockParts,
    voltageMv: voltageAt(row.clockMhz),
  }));
  const heat = buildHeatOf(turned, frame);
  const riseC: BuildHeat["riseC"] = (parts, _, workloadId) =>
    heat.riseC(layout.stockParts, voltageAt(parts), workloadId);
  return { ...heat, riseC, law: heat.law && lawAlong(heat.law, layout.stockParts, voltageAt) };
}

/** As many percent of voltage as this many of the limit are worth. */
const voltageShare = 0.6;

const lawAlong = (law: LawOfHeat, stockParts: number, voltageAt: (parts: number) => number): LawOfHeat => ({
  ...law,
  riseC: (parts, _, workloadId) => law.riseC(stockParts, voltageAt(parts), workloadId),
  riseDeviationC: (parts, _, workloadId) => law.riseDeviationC(stockParts, voltageAt(parts), workloadId),
  forecast: (setting: HeatSetting): HeatForecast =>
    law.forecast({ ...setting, clockMhz: stockParts, voltageMv: voltageAt(setting.clockMhz) }),
});
