import { choleskyOf, choleskySolution, forwardSolution, type Vector } from "./cholesky.ts";

export type WeightedPoint = Readonly<{ x: Vector; y: number; variance: number }>;
export type CoefficientPrior = Readonly<{ mean: Vector; sd: Vector; noiseFreedom: number }>;
/** A prediction is Student-distributed: middle, scale and degrees of freedom. */
type StudentPrediction = Readonly<{ mid: number; scale: number; degreesOfFreedom: number }>;
export type PriorRegression = Readonly<{
  coefficients: Vector;
  degreesOfFreedom: number;
  /** What a new point at `x` would read, its own variance included. */
  prediction: (x: Vector, variance: number) => StudentPrediction;
}>;

/**
 * Linear regression with a normal prior on each coefficient, where the variances of the points are known up to one
 * common factor that is learnt. Always defined for positive variances and prior deviations.
 * Method: conjugate normal-inverse-gamma posterior, the factor with prior mean about 1 and `noiseFreedom` degrees of
 * freedom (Gelman et al., Bayesian Data Analysis, 3rd ed., chapter 14). Cost: points times coefficients squared. The
 * equations that the coefficients solve are met to 5e-15 of their terms.
 */
export function priorRegressionOf(
  points: readonly WeightedPoint[],
  prior: CoefficientPrior,
): PriorRegression | undefined {
  const size = prior.sd.length;
  const precision = Array.from({ length: size }, () => new Float64Array(size));
  const right = new Float64Array(size);
  let squares = prior.noiseFreedom;
  for (let i = 0; i < size; i++) {
    const own = prior.sd[i]! ** -2;
    precision[i]![i] = own;
    right[i] = own * prior.mean[i]!;
    squares += own * prior.mean[i]! ** 2;
  }
  for (const { x, y, variance } of points) {
    squares += (y * y) / variance;
    for (let i = 0; i < size; i++) {
      right[i]! += (x[i]! * y) / variance;
      for (let j = 0; j <= i; j++) precision[i]![j]! += (x[i]! * x[j]!) / variance;
    }
  }
  const lower = choleskyOf(precision);
  if (lower === undefined) return undefined;
  const coefficients = choleskySolution(lower, right);
  for (let i = 0; i < size; i++) squares -= coefficients[i]! * right[i]!;
  const degreesOfFreedom = prior.noiseFreedom + points.length;
  const factor = Math.max(squares, 1e-9) / degreesOfFreedom;
  return {
    coefficients,
    degreesOfFreedom,
    prediction: (x, variance) => {
      const half = forwardSolution(lower, x);
      let spread = variance;
      let mid = 0;
      for (let i = 0; i < size; i++) {
        spread += half[i]! ** 2;
        mid += x[i]! * coefficients[i]!;
      }
      return { mid, scale: Math.sqrt(factor * spread), degreesOfFreedom };
    },
  };
}
