import type { Vector } from "../../server/numerics/cholesky.ts";
import type { LogDensity } from "../../server/numerics/logDensity.ts";
import type { SeededRandom } from "../../server/numerics/seededRandom.ts";

/** A log density from a log likelihood alone, its gradient by central differences: slow and obvious. */
export function densityOf(
  size: number,
  likelihood: (at: readonly number[]) => number,
  priorPrecision = 1,
): LogDensity {
  const value = (at: Vector): number => {
    let prior = 0;
    for (let i = 0; i < size; i++) prior -= (priorPrecision * at[i]! ** 2) / 2;
    return prior + likelihood(Array.from(at));
  };
  const gradient = (at: Vector, into: Float64Array): number => {
    const point = Float64Array.from(at);
    for (let i = 0; i < size; i++) {
      const step = 1e-5 * Math.max(1, Math.abs(at[i]!));
      point[i] = at[i]! + step;
      const above = value(point);
      point[i] = at[i]! - step;
      into[i] = (above - value(point)) / (2 * step);
      point[i] = at[i]!;
    }
    return value(at);
  };
  return { size, value, likelihood: (at) => likelihood(Array.from(at)), gradient };
}

/** Random-walk Metropolis, one coordinate at a time with steps that settle during the first tenth: slow and obvious. */
export function metropolisChain(
  density: LogDensity,
  start: Vector,
  steps: number,
  random: SeededRandom,
): Float64Array[] {
  const { size } = density;
  const at = Float64Array.from(start);
  const reach = new Float64Array(size).fill(0.5);
  let value = density.value(at);
  const chain: Float64Array[] = [];
  for (let step = 0; step < steps; step++) {
    for (let i = 0; i < size; i++) {
      const old = at[i]!;
      at[i] = old + reach[i]! * random.normal();
      const tried = density.value(at);
      const accepted = Math.log(1 - random.uniform()) < tried - value;
      if (accepted) value = tried;
      else at[i] = old;
      if (step < steps / 10) reach[i]! *= accepted ? 1.02 : 0.985;
    }
    if (step >= steps / 10) chain.push(Float64Array.from(at));
  }
  return chain;
}
