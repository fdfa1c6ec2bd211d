export type NormalPart = Readonly<{ weight: number; mean: number; deviation: number }>;

/**
 * The quantile of a mixture of normals, to about 1e-6 of its spread; undefined without parts or outside 0 < probability < 1.
 * Method: bisection on the sum of the lower tails (Abramowitz and Stegun 26.2.17, error below 7.5e-8).
 */
export function normalMixtureQuantile(parts: readonly NormalPart[], probability: number): number | undefined {
  if (parts.length === 0 || !(probability > 0 && probability < 1)) return undefined;
  const total = parts.reduce((sum, part) => sum + part.weight, 0);
  let low = Math.min(...parts.map((part) => part.mean - 9 * part.deviation));
  let high = Math.max(...parts.map((part) => part.mean + 9 * part.deviation));
  for (let step = 0; step < 50; step += 1) {
    const middle = (low + high) / 2;
    let below = 0;
    for (const { weight, mean, deviation } of parts) below += weight * lowerTail((middle - mean) / deviation);
    if (below < probability * total) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

function lowerTail(z: number): number {
  const t = 1 / (1 + 0.2316419 * Math.abs(z));
  const tail =
    0.3989422804014327 *
    Math.exp((-z * z) / 2) *
    t *
    (0.31938153 + t * (-0.356563782 + t * (1.781477937 + t * (-1.821255978 + t * 1.330274429))));
  return z > 0 ? 1 - tail : tail;
}
