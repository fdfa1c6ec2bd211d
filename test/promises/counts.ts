/**
 * The least count of `trials` that a method right with this chance in each falls short of no more than once in a
 * thousand: what a short seeded test may ask for. Binomial, summed.
 */
export function leastCount(trials: number, chance: number, oddsOfFalseAlarm = 1e-3): number {
  let below = 0;
  let term = (1 - chance) ** trials;
  for (let count = 0; count < trials; count++) {
    if (below + term > oddsOfFalseAlarm) return count;
    below += term;
    term *= ((trials - count) / (count + 1)) * (chance / (1 - chance));
  }
  return trials;
}
