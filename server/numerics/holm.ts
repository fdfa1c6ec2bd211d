/**
 * The chances of several tests judged together, in the order given: each may be held against the level that one test alone
 * would be, and the chance of any false claim among them stays below it. Method: S. Holm, A simple sequentially rejective
 * multiple test procedure, Scandinavian Journal of Statistics 6 (1979), 65 to 70. Cost: a sort.
 */
export function holmAdjusted(chances: readonly number[]): number[] {
  const order = chances.map((_, i) => i).sort((a, b) => chances[a]! - chances[b]!);
  const adjusted = [...chances];
  let least = 0;
  for (const [rank, i] of order.entries()) {
    least = Math.max(least, Math.min(1, (chances.length - rank) * chances[i]!));
    adjusted[i] = least;
  }
  return adjusted;
}
