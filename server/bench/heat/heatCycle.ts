import { periodOf } from "../../numerics/autocorrelation.ts";
import { remainderAt, type Saturation } from "../../numerics/saturation.ts";
import { between, meansOver, type Readings, shareOf } from "./heatTrace.ts";

/** A temperature that swings between two values instead of levelling out, as with fans that step up and down. */
export type HeatCycle = Readonly<{ lowC: number; highC: number; periodS: number }>;

const spanS = 5;
const leastSwingC = 3;
const leastCorrelation = 0.5;

/** The swing in the later part of a run, once the rise is taken out; undefined where there is none of note. */
export function heatCycleOf(
  loaded: Readings,
  fit: Saturation | undefined,
  stepC: number,
): HeatCycle | undefined {
  const endS = loaded.t[loaded.t.length - 1] ?? 0;
  const spacing = Math.max(spanS, endS / 600);
  const later = meansOver(between(loaded, Math.max(120, endS / 3), endS), spacing);
  if (later.values.length < 12) return undefined;
  const flat = later.values.map((value, at) => value - shapeAt(fit, later.t[at] as number));
  const period = periodOf(flat);
  const swing = (shareOf(flat, 0.97) as number) - (shareOf(flat, 0.03) as number);
  const periodS = (period?.lag ?? 0) * spacing;
  if (period === undefined || period.correlation < leastCorrelation || periodS < 4 * spanS) return undefined;
  if (swing < Math.max(leastSwingC, 3 * stepC)) return undefined;
  const lowC = shareOf(later.values, 0.03) as number;
  return { lowC, highC: shareOf(later.values, 0.97) as number, periodS };
}

const shapeAt = (fit: Saturation | undefined, loadS: number): number =>
  fit === undefined ? 0 : fit.level - remainderAt(fit, loadS);
