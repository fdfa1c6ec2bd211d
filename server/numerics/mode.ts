import { choleskyOf, choleskySolution, type Vector } from "./cholesky.ts";
import { curvatureOf, type LogDensity } from "./logDensity.ts";

export type Mode = Readonly<{ at: Float64Array; value: number }>;

/**
 * A local maximum of a log density, from the start given. Always an answer: the best point reached.
 * It stops early beside one of the `known` maxima. Method: Newton steps damped after Levenberg and Marquardt, at most 1.5 long in any coordinate and never downhill.
 */
export function modeOf(density: LogDensity, start: Vector, known: readonly Mode[] = []): Mode {
  let mode: Mode = { at: Float64Array.from(start), value: density.value(start) };
  let damping = 1e-3;
  const gradient = new Float64Array(density.size);
  for (let step = 0; step < 60; step++) {
    density.gradient(mode.at, gradient);
    const curvature = curvatureOf(density, mode.at);
    const next = uphill(density, mode, gradient, curvature, damping);
    if (next === undefined) return mode;
    const gain = next.mode.value - mode.value;
    mode = next.mode;
    damping = Math.max(next.damping / 8, 1e-8);
    if (gain < 1e-8 && next.length < 1e-3) return mode;
    if (known.some((other) => gain < 0.1 && distance(other.at, mode.at) < 0.1)) return mode;
  }
  return mode;
}

function uphill(
  density: LogDensity,
  from: Mode,
  gradient: Vector,
  curvature: readonly Float64Array[],
  startDamping: number,
): { mode: Mode; damping: number; length: number } | undefined {
  let damping = startDamping;
  for (let trial = 0; trial < 16; trial++, damping *= 8) {
    const lower = choleskyOf(damped(curvature, damping));
    if (lower === undefined) continue;
    const way = choleskySolution(lower, gradient);
    const length = way.reduce((longest, part) => Math.max(longest, Math.abs(part)), 0);
    const scale = length > 1.5 ? 1.5 / length : 1;
    const at = from.at.map((value, i) => value + scale * way[i]!);
    const value = density.value(at);
    if (value >= from.value) return { mode: { at, value }, damping, length };
  }
  return undefined;
}

const damped = (matrix: readonly Float64Array[], damping: number): Float64Array[] =>
  matrix.map((row, i) => {
    const copy = Float64Array.from(row);
    copy[i]! += damping * (1 + Math.abs(row[i]!));
    return copy;
  });

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
