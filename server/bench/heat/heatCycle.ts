import { periodOf } from "../../numerics/autocorrelation.ts";
import { remainderAt, type Saturation } from "../../numerics/saturation.ts";
import {
  between,
  type HeatTrace,
  meanOf,
  meansOver,
  readingsOf,
  shareOf,
  type TimedValues,
} from "./heatTrace.ts";
import type { Span } from "./spans.ts";

/** A temperature that swings between two values instead of levelling out, as with loads that pulse or fans that step up and down. */
export type HeatCycle = Readonly<{ lowC: number; highC: number; periodS: number }>;

const spanS = 5;
const leastSwingC = 3;
const leastCorrelation = 0.5;

/** The swing in the later part of a run, once the rise is taken out; undefined where there is none of note. A load known to pulse swings with it. */
export function heatCycleOf(
  loaded: TimedValues,
  fit: Saturation | undefined,
  stepC: number,
  pulseS: number | undefined,
): HeatCycle | undefined {
  const endS = loaded.t[loaded.t.length - 1] ?? 0;
  const spacing = Math.max(spanS, endS / 600);
  const later = meansOver(between(loaded, Math.max(120, endS / 3), endS), spacing);
  if (later.values.length < 12) return undefined;
  const flat = later.values.map((value, at) => value - shapeAt(fit, later.t[at] as number));
  const periodS = pulseS ?? swingPeriod(flat, spacing);
  const swing = (shareOf(flat, 0.97) as number) - (shareOf(flat, 0.03) as number);
  if (periodS === undefined || swing < Math.max(leastSwingC, 3 * stepC)) return undefined;
  const lowC = shareOf(later.values, 0.03) as number;
  return { lowC, highC: shareOf(later.values, 0.97) as number, periodS };
}

function swingPeriod(flat: Float64Array, spacing: number): number | undefined {
  const period = periodOf(flat);
  const isSure = period !== undefined && period.correlation >= leastCorrelation;
  return isSure && period.lag * spacing >= 4 * spanS ? period.lag * spacing : undefined;
}

const pulseShare = 0.15;

/** How often a load that is switched on and off comes on again, by its power or its own channel; undefined where it does not pulse. */
export function pulseOf(trace: HeatTrace, loaded: Span): number | undefined {
  for (const channel of [trace.power, trace.load]) {
    if (channel === undefined) continue;
    const readings = between(readingsOf(trace.t, channel), loaded.fromS, loaded.toS);
    const found = pulseIn(meansOver(readings, spanS / 2.5), spanS / 2.5);
    if (found !== undefined) return found;
  }
  return undefined;
}

const longestLooked = 600;

function pulseIn({ values }: TimedValues, spacing: number): number | undefined {
  const looked = values.subarray(0, longestLooked);
  const mean = meanOf(looked) ?? 0;
  const swing = ((shareOf(looked, 0.9) ?? 0) - (shareOf(looked, 0.1) ?? 0)) / 2;
  if (looked.length < 30 || swing < pulseShare * mean) return undefined;
  const period = periodOf(looked);
  return period !== undefined && period.correlation >= leastCorrelation ? period.lag * spacing : undefined;
}

const shapeAt = (fit: Saturation | undefined, loadS: number): number =>
  fit === undefined ? 0 : fit.level - remainderAt(fit, loadS);
