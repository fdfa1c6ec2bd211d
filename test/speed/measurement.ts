/** What one measurement found. `ratio` is what the goal speaks of; `limit` is the most or the least it may be. */
export type Measured = Readonly<{
  ours: number;
  reference: number;
  unit: string;
  ratio: number;
  limit: number;
  met: boolean;
}>;

export type Measurement = Readonly<{ name: string; goal: string; run(): Promise<Measured> }>;

export const median = (values: readonly number[]): number => {
  const sorted = [...values].sort((a, b) => a - b);
  const middle = sorted.length >> 1;
  const upper = sorted[middle] ?? Number.NaN;
  return sorted.length % 2 === 1 ? upper : (upper + (sorted[middle - 1] ?? Number.NaN)) / 2;
};

export type Rounds = Readonly<{ ours: number; reference: number; ratio: number }>;

/**
 * Runs both in turn, and in the other order every second round, so that a machine that slows down slows both.
 * One round of each goes before, uncounted. The ratio is the median of the rounds' own.
 */
export async function inTurn(
  ours: () => number | Promise<number>,
  reference: () => number | Promise<number>,
  rounds = 9,
): Promise<Rounds> {
  await ours();
  await reference();
  const found: Rounds[] = [];
  for (let round = 0; round < rounds; round++) {
    const first = round % 2 === 0 ? await ours() : undefined;
    const beside = await reference();
    const own = first ?? (await ours());
    found.push({ ours: own, reference: beside, ratio: own / beside });
  }
  return {
    ours: median(found.map((one) => one.ours)),
    reference: median(found.map((one) => one.reference)),
    ratio: median(found.map((one) => one.ratio)),
  };
}

export const atMost = (rounds: Rounds, unit: string, limit: number): Measured => ({
  ...rounds,
  unit,
  limit,
  met: rounds.ratio <= limit,
});

export const atLeast = (rounds: Rounds, unit: string, limit: number): Measured => ({
  ...rounds,
  unit,
  limit,
  met: rounds.ratio >= limit,
});

/** Milliseconds that some work takes, told apart from what prepares it. */
export function millisecondsOf(work: () => unknown): number {
  const startedAt = performance.now();
  work();
  return performance.now() - startedAt;
}
