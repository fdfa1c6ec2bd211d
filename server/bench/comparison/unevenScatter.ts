import { LRUCache } from "lru-cache";
import { degreesTogether } from "../../numerics/combinedUncertainty.ts";
import { varianceRatioQuantile } from "../../numerics/distributions.ts";
import { sampleVariance } from "../../numerics/moments.ts";
import { type MeasuredSides, repeatsOf } from "./measuredSide.ts";

/** Each build's own scatter, where the two lie too far apart to be pooled. */
export type UnevenScatter = Readonly<{
  /** Standard uncertainties of each build's mean. */
  parts: readonly [number, number];
  degreesOfFreedom: number;
  from: string;
}>;

/**
 * Builds that scatter alike look this uneven in one comparison of so many. With unequal counts pooling uneven builds claims
 * differences that are none (measured: 33 % for 5), so there the suspicion is cheap; with equal counts pooling bears it.
 */
const oneInUnequal = 5;
const oneInEqual = 20;

/** Undefined where both may scatter alike, which is what repeats of one chip mostly do. */
export function unevenScatter({ a, b }: MeasuredSides, per: "mount" | "run"): UnevenScatter | undefined {
  const [ofA, ofB] = [repeatsOf(a, per), repeatsOf(b, per)];
  const [varianceA, varianceB] = [sampleVariance(ofA), sampleVariance(ofB)];
  if (varianceA === undefined || varianceB === undefined) return undefined;
  const [degreesA, degreesB] = [ofA.length - 1, ofB.length - 1];
  if (!isUneven(varianceA, degreesA, varianceB, degreesB)) return undefined;
  const parts = [Math.sqrt(varianceA / ofA.length), Math.sqrt(varianceB / ofB.length)] as const;
  const degreesOfFreedom = degreesTogether(
    { standard: parts[0], degreesOfFreedom: degreesA },
    { standard: parts[1], degreesOfFreedom: degreesB },
  );
  const from = `each build's own ${ofA.length} and ${ofB.length} ${per}s: they scatter too differently to be pooled`;
  return { parts, degreesOfFreedom, from };
}

function isUneven(varianceA: number, degreesA: number, varianceB: number, degreesB: number): boolean {
  if (varianceA === 0 || varianceB === 0) return false;
  const most = varianceA > varianceB ? mostRatio(degreesA, degreesB) : mostRatio(degreesB, degreesA);
  const ratio = Math.max(varianceA, varianceB) / Math.min(varianceA, varianceB);
  return most !== undefined && ratio > most;
}

const mostRatios = new LRUCache<string, Readonly<{ ratio: number | undefined }>>({ max: 500 });

/** Asked over and over for the same few degrees of freedom, so it is kept. */
function mostRatio(degreesAbove: number, degreesBelow: number): number | undefined {
  const name = `${degreesAbove} ${degreesBelow}`;
  const known = mostRatios.get(name);
  if (known) return known.ratio;
  const oneIn = degreesAbove === degreesBelow ? oneInEqual : oneInUnequal;
  const ratio = varianceRatioQuantile(1 - 0.5 / oneIn, degreesAbove, degreesBelow);
  mostRatios.set(name, { ratio });
  return ratio;
}
