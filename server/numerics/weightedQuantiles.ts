import type { Vector } from "./cholesky.ts";

/**
 * The values below which the given shares of the total weight lie, in the order of the probabilities; undefined for no
 * values or no weight. Method: the cumulated weight read at the middle of each value's own weight, linear between.
 * Cost: a sort. Exact to rounding.
 */
export function weightedQuantilesOf(
  values: Vector,
  weights: Vector,
  probabilities: readonly number[],
): number[] | undefined {
  const order = Float64Array.from({ length: values.length }, (_, i) => i)
    .filter((i) => weights[i]! > 0)
    .sort((a, b) => values[a]! - values[b]!);
  if (order.length === 0) return undefined;
  const middles = new Float64Array(order.length);
  let total = 0;
  for (let k = 0; k < order.length; k++) {
    const weight = weights[order[k]!]!;
    middles[k] = total + weight / 2;
    total += weight;
  }
  return probabilities.map((probability) => {
    const wanted = probability * total;
    const above = firstAtLeast(middles, wanted);
    if (above === 0) return values[order[0]!]!;
    if (above === order.length) return values[order[order.length - 1]!]!;
    const low = middles[above - 1]!;
    const share = (wanted - low) / (middles[above]! - low);
    const from = values[order[above - 1]!]!;
    return from + share * (values[order[above]!]! - from);
  });
}

function firstAtLeast(sorted: Float64Array, wanted: number): number {
  let low = 0;
  let high = sorted.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (sorted[middle]! < wanted) low = middle + 1;
    else high = middle;
  }
  return low;
}
