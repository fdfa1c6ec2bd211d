import { LRUCache } from "lru-cache";
import { normalCdf } from "../../numerics/distributions.ts";
import { type CoordinateMap, quantileMap, straightMap } from "../../numerics/quantileMap.ts";

/**
 * What is believed of how sharp a limit is before any attempt: the logarithm of the share of clock over which the hazard
 * grows e-fold. Plain values: it travels with a question, and its version tells answers under another one apart.
 */
export type SharpnessPrior = Readonly<{
  /** For a person: where it comes from. */
  name: string;
  version: string;
  /** From how many chips of the journal it was learnt; 0 for the one that comes with the program. */
  chips: number;
  mean: number;
  /** A normal's deviation where nothing was learnt, else the scale of a Student t with four degrees of freedom. */
  scale: number;
  /** So much of it is left to limits about twice as soft as usual, whatever was learnt. */
  softShare: number;
}>;

export type ToldPrior = Pick<SharpnessPrior, "name" | "version" | "chips">;
export const toldOfPrior = ({ name, version, chips }: SharpnessPrior): ToldPrior => ({
  name,
  version,
  chips,
});

/** Wide enough for limits from four tenths to three times as soft as usual ones. */
export const baseSharpness: SharpnessPrior = {
  name: "what such chips usually do",
  version: "base 1",
  chips: 0,
  mean: Math.log(0.003),
  scale: 0.8,
  softShare: 0,
};

/** So much of the base stays in what was learnt: the next chip may be of another kind. */
const baseShare = 0.1;

/** The logarithm of the sharpness as a standard normal coordinate under the prior. */
export function sharpnessScaleOf(prior: SharpnessPrior): CoordinateMap {
  if (prior.chips === 0) return straightMap(prior.mean, prior.scale);
  const known = scales.get(prior.version);
  if (known !== undefined) return known;
  const scale = quantileMap((x) => learntCdf(prior, x), [baseSharpness.mean - 12, baseSharpness.mean + 12]);
  scales.set(prior.version, scale);
  return scale;
}

/** The last one made: every fit of an evening asks for the same. */
const scales = new LRUCache<string, CoordinateMap>({ max: 1 });

/** Where soft limits lie: twice as soft as usual ones, two in three of them within a factor of 1.6. */
const soft = { mean: baseSharpness.mean + 0.7, scale: 0.5 };

const learntCdf = ({ mean, scale, softShare }: SharpnessPrior, x: number): number =>
  (1 - baseShare - softShare) * studentCdfOfFour((x - mean) / scale) +
  softShare * normalCdf((x - soft.mean) / soft.scale) +
  baseShare * normalCdf((x - baseSharpness.mean) / baseSharpness.scale);

/** Student's distribution with four degrees of freedom in closed form (Abramowitz and Stegun 26.7.4). */
export function studentCdfOfFour(t: number): number {
  const root = t / Math.sqrt(4 + t * t);
  return 0.5 + 0.75 * root * (1 - (root * root) / 3);
}
