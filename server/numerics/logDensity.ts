import type { Vector } from "./cholesky.ts";

/**
 * The logarithm of a posterior density up to a constant, in coordinates in which the prior is standard normal. The
 * prior is part of `value` and `gradient`; `likelihood` leaves it out.
 */
export type LogDensity = Readonly<{
  size: number;
  value: (at: Vector) => number;
  likelihood: (at: Vector) => number;
  /** Writes the gradient into `into` and gives the value. */
  gradient: (at: Vector, into: Float64Array) => number;
}>;

/**
 * The negative second derivatives of a log density. Method: central differences of the gradient. Cost: two gradients
 * per coordinate. The steps, one for all or one each, must be small against the width of the density; the error grows
 * with their square, and was below 1e-6 of the curvature at the step there is for logistic regressions of two to eight
 * coordinates.
 */
export function curvatureOf(density: LogDensity, at: Vector, steps: number | Vector = 1e-3): Float64Array[] {
  const { size } = density;
  const point = Float64Array.from(at);
  const above = new Float64Array(size);
  const below = new Float64Array(size);
  const curvature = Array.from({ length: size }, () => new Float64Array(size));
  for (let i = 0; i < size; i++) {
    const step = typeof steps === "number" ? steps : steps[i]!;
    point[i] = at[i]! + step;
    density.gradient(point, above);
    point[i] = at[i]! - step;
    density.gradient(point, below);
    point[i] = at[i]!;
    for (let j = 0; j < size; j++) curvature[i]![j] = (below[j]! - above[j]!) / (2 * step);
  }
  for (let i = 0; i < size; i++)
    for (let j = 0; j < i; j++) {
      const mean = (curvature[i]![j]! + curvature[j]![i]!) / 2;
      curvature[i]![j] = mean;
      curvature[j]![i] = mean;
    }
  return curvature;
}
