import { type Curve, type CurveFit, curveFit } from "./leastSquares.ts";

/** A level approached by one or two exponentials: level - sum of amplitude * exp(-x / time constant). */
export type Saturation = Readonly<{
  level: number;
  /** The quick one first. */
  parts: readonly Readonly<{ amplitude: number; timeConstant: number }>[];
  residualDeviation: number;
}>;

/** More steps move a shape by less than its readings scatter. */
const stepsForShape = 80;

/** Parameters: level, then amplitude and rate for each part. */
const saturating = (count: number): Curve => ({
  value(x, parameters) {
    let value = parameters[0] as number;
    for (let k = 0; k < count; k += 1)
      value -= (parameters[1 + 2 * k] as number) * Math.exp(-x * (parameters[2 + 2 * k] as number));
    return value;
  },
  slopes(x, parameters, into) {
    into[0] = 1;
    for (let k = 0; k < count; k += 1) {
      const decay = Math.exp(-x * (parameters[2 + 2 * k] as number));
      into[1 + 2 * k] = -decay;
      into[2 + 2 * k] = (parameters[1 + 2 * k] as number) * x * decay;
    }
  },
});

/**
 * The least-squares fit with one or two time constants, x counted from the start; undefined where no start leads to
 * positive time constants. Starts: a few time constants between `shortest` and `longest`, the fit with the least residuals kept.
 * Method and accuracy: `curveFit`, at most 80 steps a start, which leaves a shape further off than a rounding error and
 * nearer than its readings scatter.
 */
export function saturationFit(
  x: ArrayLike<number>,
  y: ArrayLike<number>,
  parts: 1 | 2,
  shortest: number,
  longest: number,
): Saturation | undefined {
  const curve = saturating(parts);
  let best: CurveFit | undefined;
  for (const start of startsOf(y, parts, shortest, longest)) {
    const fit = curveFit(curve, x, y, start, stepsForShape);
    const isSound = fit?.parameters.every(
      (value, at) => Number.isFinite(value) && (at === 0 || at % 2 === 1 || value > 0),
    );
    if (fit === undefined || isSound !== true) continue;
    if (best === undefined || fit.residualSum < best.residualSum) best = fit;
  }
  return best === undefined ? undefined : saturationOf(best);
}

function startsOf(
  y: ArrayLike<number>,
  parts: 1 | 2,
  shortest: number,
  longest: number,
): readonly number[][] {
  const first = y[0] as number;
  const last = y[y.length - 1] as number;
  const rise = last - first;
  const slow = [longest / 2, longest / 5, longest / 12];
  if (parts === 1) return slow.map((time) => [last, rise, 1 / time]);
  return slow.map((time) => [last, rise / 2, 1 / Math.max(shortest, time / 12), rise / 2, 1 / time]);
}

function saturationOf(fit: CurveFit): Saturation {
  const [level = Number.NaN, ...rest] = fit.parameters;
  const parts = rest
    .flatMap((amplitude, at) =>
      at % 2 === 0 ? [{ amplitude, timeConstant: 1 / (rest[at + 1] as number) }] : [],
    )
    .sort((a, b) => a.timeConstant - b.timeConstant);
  return { level, parts, residualDeviation: fit.residualDeviation ?? Number.NaN };
}

/** What is still missing to the level at x: the fit's distance from it, exact to rounding. */
export const remainderAt = (fit: Saturation, x: number): number =>
  fit.parts.reduce((sum, part) => sum + part.amplitude * Math.exp(-x / part.timeConstant), 0);

/**
 * From when on the fit stays within `tolerance` of its level; undefined where it does not by `latest`.
 * Method: steps back from `latest` by one in 400 to the last x outside, then bisection to far below a second; what lies
 * outside for less than such a step may be passed over.
 */
export function settledAt(fit: Saturation, tolerance: number, latest: number): number | undefined {
  const isOutside = (x: number): boolean => Math.abs(remainderAt(fit, x)) > tolerance;
  if (isOutside(latest)) return undefined;
  const steps = 400;
  let inside = latest;
  let outside = -1;
  for (let step = steps - 1; step >= 0; step -= 1) {
    const x = (latest * step) / steps;
    if (isOutside(x)) {
      outside = x;
      break;
    }
    inside = x;
  }
  if (outside < 0) return 0;
  for (let step = 0; step < 40; step += 1) {
    const middle = (inside + outside) / 2;
    if (isOutside(middle)) outside = middle;
    else inside = middle;
  }
  return inside;
}
