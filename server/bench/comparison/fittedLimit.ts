import { weightedQuantilesOf } from "../../numerics/weightedQuantiles.ts";
import type { FittedLimit } from "./sameVoltage.ts";

/** A limit and its 95 % ends from the draws of a fit; no upper end where only passes are known. Undefined without draws. */
export function fittedLimitFrom(
  clocksMhz: Float64Array,
  weights: Float64Array,
  passesOnly: boolean,
): FittedLimit | undefined {
  const [lowMhz, clockMhz, highMhz] = weightedQuantilesOf(clocksMhz, weights, [0.025, 0.5, 0.975]) ?? [];
  if (lowMhz === undefined || clockMhz === undefined || highMhz === undefined) return undefined;
  return { clockMhz, lowMhz, highMhz: passesOnly ? null : highMhz };
}
