import type { Vector } from "../../numerics/cholesky.ts";
import { turnAt } from "./heatTurn.ts";
import { type HotPlace, hotPlaceAt, usualHazardPerC } from "./hotTables.ts";
import type { LimitFrame } from "./limitFrame.ts";

/** Where each parameter of the model stands among the coordinates of a point; each is a standard normal under its prior. */
export const place = {
  headroom: 0,
  slope: 1,
  bend: 2,
  sharpness: 3,
  heat: 4,
  stray: 5,
  offsets: 6,
} as const;

export const referenceTempC = 70;
export const logHazardAtLimit = -Math.log(60);

/** Middles and spreads of the logarithms of slope, bend, heat and stray rate before any attempt; of sharpness see `sharpness.ts`. */
export const logPrior = {
  slope: { mean: Math.log(0.6), sd: 0.7 },
  bend: { mean: Math.log(1.3), sd: 0.5 },
  heat: { mean: Math.log(0.00075), sd: 0.3 },
  /** One stray crash in 500 hours, give or take a factor of ten. */
  stray: { mean: Math.log(1 / 30_000), sd: Math.log(10) / 1.645 },
} as const;

/** Another workload moves the limit by 1.5 %, one standard deviation; another board by what the frame says. */
export const workloadDeviation = 0.015;

/** The parameters of one point, out of their coordinates. */
export type LimitParameters = Readonly<{
  logLimit: number;
  slope: number;
  halfBend: number;
  sigma: number;
  heat: number;
  /** By how much of itself what a degree costs falls for each e-fold of voltage, far below the reference. */
  turn: number;
  stray: number;
  /** How the logarithm of the sharpness moves with its coordinate. */
  sharpnessSlope: number;
  hot: HotPlace;
  /** How far the hot minutes move with heat and sharpness here: wholly for soft limits, not at all for sharp ones. */
  hotMoves: number;
}>;

export function parametersAt(at: Vector, frame: LimitFrame): LimitParameters {
  const of = (name: keyof typeof logPrior): number =>
    Math.exp(logPrior[name].mean + logPrior[name].sd * at[place[name]]!);
  const slope = of("slope");
  const heat = of("heat");
  const sigma = Math.exp(frame.sharpness.at(at[place.sharpness]!));
  const steepness = Math.log(heat / sigma);
  const under = (usualSteepness - steepness) / capWidth;
  return {
    logLimit: Math.log(frame.clockMhz) + frame.headroom.mean + frame.headroom.sd * at[place.headroom]!,
    slope,
    halfBend: (slope * of("bend")) / 2,
    sigma,
    heat,
    turn: frame.heatTurns ? turnAt(at) : 0,
    stray: of("stray"),
    sharpnessSlope: frame.sharpness.slopeAt(at[place.sharpness]!),
    hot: hotPlaceAt(usualSteepness - capWidth * softplus(under)),
    hotMoves: 1 / (1 + Math.exp(-under)),
  };
}

/**
 * Warming up counts for less where the limit is softer than usual, and for no more than usual where it is sharper: no
 * chip warms up quite as the fit assumes, and a very sharp limit would explain any record by the shape of its first
 * minutes.
 */
const usualSteepness = Math.log(usualHazardPerC);
/** The cap is rounded off over so much of the logarithm: an edge would mislead whoever looks for the mode. */
const capWidth = 0.1;
const softplus = (x: number): number => (x > 35 ? x : Math.log1p(Math.exp(x)));
