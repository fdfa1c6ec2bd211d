import type { Vector } from "./cholesky.ts";

/**
 * The never-falling values closest to those given, in weighted least squares. Several readings at one place are for the
 * caller to make into one weighted value first. Method: pool adjacent violators (Barlow et al. 1972). Cost: linear.
 */
export function monotoneFitOf(values: Vector, weights?: Vector): number[] {
  const pools: { mean: number; weight: number; length: number }[] = [];
  for (let i = 0; i < values.length; i++) {
    let pool = { mean: values[i]!, weight: weights?.[i] ?? 1, length: 1 };
    for (let last = pools.at(-1); last !== undefined && last.mean >= pool.mean; last = pools.at(-1)) {
      pools.pop();
      const weight = last.weight + pool.weight;
      const mean = weight > 0 ? (last.weight * last.mean + pool.weight * pool.mean) / weight : pool.mean;
      pool = { mean, weight, length: last.length + pool.length };
    }
    pools.push(pool);
  }
  return pools.flatMap(({ mean, length }) => new Array<number>(length).fill(mean));
}
