export type NormalPart = Readonly<{ weight: number; mean: number; deviation: number }>;

/**
 * The quantile of a mixture of normals, to 1e-6 of its spread in the middle and 1e-4 at one in a thousand; undefined without parts or outside 0 < probability < 1.
 * Method: Newton's steps on the sum of the lower tails, halving where a step leaves the bracket (tails after Abramowitz
 * and Stegun 26.2.17, error below 7.5e-8).
 */
export function normalMixtureQuantile(parts: readonly NormalPart[], probability: number): number | undefined {
  if (parts.length === 0 || !(probability > 0 && probability < 1)) return undefined;
  let total = 0;
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  for (const { weight, mean, deviation } of parts) {
    total += weight;
    low = Math.min(low, mean - 9 * deviation);
    high = Math.max(high, mean + 9 * deviation);
  }
  const close = 1e-8 * (high - low);
  let at = (low + high) / 2;
  for (let step = 0; step < 60; step += 1) {
    const { below, density } = mixtureAt(parts, at);
    const excess = below - probability * total;
    if (excess < 0) low = at;
    else high = at;
    const newton = at - excess / density;
    const next = newton > low && newton < high ? newton : (low + high) / 2;
    if (Math.abs(next - at) < close) return next;
    at = next;
  }
  return at;
}

function mixtureAt(parts: readonly NormalPart[], x: number): { below: number; density: number } {
  let below = 0;
  let density = 0;
  for (const { weight, mean, deviation } of parts) {
    const z = (x - mean) / deviation;
    const height = 0.3989422804014327 * Math.exp((-z * z) / 2);
    below += weight * lowerTail(z, height);
    density += (weight * height) / deviation;
  }
  return { below, density };
}

function lowerTail(z: number, height: number): number {
  const t = 1 / (1 + 0.2316419 * Math.abs(z));
  const tail =
    height * t * (0.31938153 + t * (-0.356563782 + t * (1.781477937 + t * (-1.821255978 + t * 1.330274429))));
  return z > 0 ? 1 - tail : tail;
}
