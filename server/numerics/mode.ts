import { choleskyOf, inverseFromCholesky, type Vector } from "./cholesky.ts";
import { curvatureOf, type LogDensity } from "./logDensity.ts";

export type Mode = Readonly<{ at: Float64Array; value: number }>;

const mostSteps = 200;
const longestStep = 1.5;

/**
 * A local maximum of a log density, from the start given. Always an answer: the best point reached.
 * It stops early beside one of the `known` maxima. Method: quasi-Newton steps by Broyden, Fletcher, Goldfarb and Shanno
 * (Nocedal and Wright, Numerical Optimization, 2006, chapter 6) from the inverse curvature at the start, at most 1.5
 * long in any coordinate and never downhill; the curvature is taken anew where they get stuck. Cost: two gradients per
 * coordinate at the start and about one or two a step. Accuracy, measured on 200 logistic regressions of two to eight
 * coordinates: within 2e-6 of the maximum, and 6e-12 of its value.
 */
export function modeOf(density: LogDensity, start: Vector, known: readonly Mode[] = []): Mode {
  let mode: Mode = { at: Float64Array.from(start), value: density.value(start) };
  let slope = new Float64Array(density.size);
  let nextSlope = new Float64Array(density.size);
  density.gradient(mode.at, slope);
  let inverse = inverseCurvatureAt(density, mode.at);
  let isFresh = true;
  for (let step = 0; step < mostSteps; step++) {
    const next = uphill(density, mode, slope, inverse, nextSlope);
    const gain = (next?.value ?? mode.value) - mode.value;
    if (next === undefined || (gain < 1e-11 && !isFresh)) {
      if (isFresh) return mode;
      inverse = inverseCurvatureAt(density, mode.at);
      isFresh = true;
      continue;
    }
    const way = next.at.map((value, i) => value - mode.at[i]!);
    isFresh = false;
    learnt(inverse, way, slope, nextSlope);
    mode = next;
    [slope, nextSlope] = [nextSlope, slope];
    if (gain < 1e-10 && longestOf(way) < 1e-4) return mode;
    if (known.some((other) => gain < 0.1 && distance(other.at, mode.at) < 0.1)) return mode;
  }
  return mode;
}

/** The inverse of the curvature, strengthened until it has one. */
function inverseCurvatureAt(density: LogDensity, at: Vector): Float64Array[] {
  const curvature = curvatureOf(density, at);
  for (let damping = 1e-3; damping < 1e12; damping *= 8) {
    const lower = choleskyOf(damped(curvature, damping));
    if (lower !== undefined) return inverseFromCholesky(lower);
  }
  return curvature.map((row, i) => row.map((_, j) => (i === j ? 1 : 0)));
}

const damped = (matrix: readonly Float64Array[], damping: number): Float64Array[] =>
  matrix.map((row, i) => {
    const copy = Float64Array.from(row);
    copy[i]! += damping * (1 + Math.abs(row[i]!));
    return copy;
  });

/** A step that gains at least a ten-thousandth of what the slope promises, its own slope written down; undefined where none does. */
function uphill(
  density: LogDensity,
  from: Mode,
  slope: Vector,
  inverse: readonly Float64Array[],
  nextSlope: Float64Array,
): Mode | undefined {
  const way = inverse.map((row) => row.reduce((sum, part, j) => sum + part * slope[j]!, 0));
  const longest = longestOf(way);
  const promised = way.reduce((sum, part, i) => sum + part * slope[i]!, 0);
  if (!(promised > 0)) return undefined;
  let scale = longest > longestStep ? longestStep / longest : 1;
  for (let trial = 0; trial < 30; trial++, scale /= 3) {
    const at = from.at.map((value, i) => value + scale * way[i]!);
    const value = density.gradient(at, nextSlope);
    if (value >= from.value + 1e-4 * scale * promised) return { at, value };
  }
  return undefined;
}

/** Takes what the slopes at both ends of a step tell into the inverse curvature, where they tell of a hill. */
function learnt(inverse: readonly Float64Array[], way: Vector, slope: Vector, nextSlope: Vector): void {
  const size = inverse.length;
  let along = 0;
  const fall = new Float64Array(size);
  for (let i = 0; i < size; i++) {
    fall[i] = slope[i]! - nextSlope[i]!;
    along += way[i]! * fall[i]!;
  }
  if (!(along > 1e-12)) return;
  const turned = inverse.map((row) => row.reduce((sum, part, j) => sum + part * fall[j]!, 0));
  const across = turned.reduce((sum, part, i) => sum + part * fall[i]!, 0);
  for (let i = 0; i < size; i++)
    for (let j = 0; j < size; j++)
      inverse[i]![j]! +=
        ((1 + across / along) * way[i]! * way[j]! - turned[i]! * way[j]! - way[i]! * turned[j]!) / along;
}

const longestOf = (way: Vector): number => {
  let longest = 0;
  for (let i = 0; i < way.length; i++) longest = Math.max(longest, Math.abs(way[i]!));
  return longest;
};

/** The different maxima reached from several starts, best first; those within `apart` of a better one are left out. */
export function modesOf(density: LogDensity, starts: readonly Vector[], apart = 0.2): Mode[] {
  const found: Mode[] = [];
  for (const start of starts) found.push(modeOf(density, start, found));
  const kept: Mode[] = [];
  for (const mode of found.sort((a, b) => b.value - a.value))
    if (kept.every((other) => distance(other.at, mode.at) > apart)) kept.push(mode);
  return kept;
}

const distance = (a: Vector, b: Vector): number => {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += (a[i]! - b[i]!) ** 2;
  return Math.sqrt(sum);
};
