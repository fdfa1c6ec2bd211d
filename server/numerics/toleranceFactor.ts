import { logGamma, normalCdf, normalQuantile } from "./distributions.ts";

/**
 * The factor k for which mean - k * deviation of n normal values lies below the share `coverage` of the population, with the
 * confidence given; undefined for fewer than two values or shares outside 0 to 1.
 * Method: the noncentral t distribution as an integral over the deviation (Simpson's rule), solved by bisection.
 * Source: Owen (1963); NIST/SEMATECH e-Handbook 7.2.6.3, whose tables it gives to 1e-5. Cost: about 60 integrals of 400 points.
 */
export function toleranceFactor(n: number, coverage: number, confidence: number): number | undefined {
  const z = normalQuantile(coverage);
  if (n < 2 || z === undefined || !(confidence > 0 && confidence < 1)) return undefined;
  let [low, high] = [-50, 50];
  while (chanceBelow(high, n, z) < confidence && high < 1e6) high *= 2;
  for (let step = 0; step < 60; step++) {
    const middle = (low + high) / 2;
    if (chanceBelow(middle, n, z) < confidence) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

/** The chance that mean - factor * deviation falls below the quantile -z: the mean's part normal, the deviation's chi. */
function chanceBelow(factor: number, n: number, z: number): number {
  const degrees = n - 1;
  const front = Math.LN2 + (degrees / 2) * Math.log(degrees / 2) - logGamma(degrees / 2)!;
  const density = (s: number): number =>
    s === 0
      ? degrees === 1
        ? Math.exp(front)
        : 0
      : Math.exp(front + (degrees - 1) * Math.log(s) - (degrees * s * s) / 2);
  const spread = 9 / Math.sqrt(2 * degrees);
  const part = (s: number): number => density(s) * normalCdf(Math.sqrt(n) * (factor * s - z));
  return simpson(part, Math.max(0, 1 - spread), 1 + spread, 400);
}

function simpson(part: (x: number) => number, from: number, to: number, pieces: number): number {
  const width = (to - from) / pieces;
  let sum = part(from) + part(to);
  for (let piece = 1; piece < pieces; piece++) sum += part(from + piece * width) * (piece % 2 === 1 ? 4 : 2);
  return (sum * width) / 3;
}
