import { choleskyOf, inverseFromCholesky, type Matrix, type Vector } from "./cholesky.ts";
import { curvatureOf, type LogDensity } from "./logDensity.ts";
import type { Mode } from "./mode.ts";
import { momentsOf, type Particles, weightsFromLogs } from "./particles.ts";
import type { SeededRandom } from "./seededRandom.ts";

export type SamplingPlan = Readonly<{
  draws: number;
  /** Another round is drawn from a refitted mixture while fewer than this share of the draws are effective. */
  wantedShare: number;
  rounds: number;
}>;

type Component = Readonly<{
  share: number;
  centre: Vector;
  lower: Matrix;
  stretch: number;
  logVolume: number;
}>;

const tailFreedom = 5;

/**
 * Draws from a posterior by importance sampling; at least one mode must be given, best first. Look at
 * `effectiveCount` before using them: few effective draws mean that the mixture missed the shape.
 * Method: a mixture of multivariate Student t with 5 degrees of freedom at the modes and a wider one around the best,
 * refitted to the weighted moments while too few draws are effective (Cappé et al. 2008). All rounds of a mixture are
 * weighted by the whole mixture. Cost: draws times rounds times the density.
 */
export function importanceDraws(
  density: LogDensity,
  modes: readonly Mode[],
  plan: SamplingPlan,
  random: SeededRandom,
): Particles {
  let mixture = startingMixture(density, modes);
  let best: Particles | undefined;
  for (let round = 0; round < plan.rounds; round++) {
    const draws = drawsFrom(mixture, density, plan.draws, random);
    if (best === undefined || draws.effectiveCount > best.effectiveCount) best = draws;
    if (best.effectiveCount > plan.wantedShare * plan.draws || round === plan.rounds - 1) break;
    const refitted = refittedMixture(mixture, best);
    if (refitted === undefined) break;
    mixture = refitted;
  }
  return best!;
}

/** Each mode weighs by its height and volume, with a floor; a fifth of the draws come from wide around the best. */
function startingMixture(density: LogDensity, modes: readonly Mode[]): Component[] {
  const shapes = modes.map(({ at, value }) => {
    const lower = spreadAt(density, at);
    return { centre: at, lower, logVolume: logVolumeOf(lower), value };
  });
  const masses = shapes.map(({ value, logVolume }) => value + logVolume);
  const largest = Math.max(...masses);
  const raw = masses.map((mass) => Math.max(0.08, Math.exp(mass - largest)));
  const sum = raw.reduce((total, share) => total + share, 0);
  const components = shapes.map((shape, i) => ({ ...shape, stretch: 1.15, share: (0.8 * raw[i]!) / sum }));
  return [...components, { ...shapes[0]!, stretch: 2.5, share: 0.2 }];
}

/** The factor of the covariance at a mode; no direction is taken to be wider than the prior allows. */
function spreadAt(density: LogDensity, at: Vector): Float64Array[] {
  const curvature = curvatureOf(density, at);
  for (let extra = 0; extra < 1e6; extra = extra === 0 ? 0.01 : extra * 4) {
    for (let i = 0; i < curvature.length; i++) curvature[i]![i]! += extra;
    const lower = choleskyOf(curvature);
    if (lower === undefined) continue;
    const covariance = inverseFromCholesky(lower);
    narrowed(covariance, 1.5);
    const factor = choleskyOf(covariance);
    if (factor !== undefined) return factor;
  }
  return curvature.map((_, i) => Float64Array.from(curvature, (__, j) => (i === j ? 1 : 0)));
}

function narrowed(covariance: readonly Float64Array[], largest: number): void {
  for (let i = 0; i < covariance.length; i++) {
    const own = covariance[i]![i]!;
    if (own <= largest) continue;
    const scale = Math.sqrt(largest / own);
    for (let j = 0; j < covariance.length; j++) {
      covariance[i]![j]! *= scale;
      covariance[j]![i]! *= scale;
    }
  }
}

const logVolumeOf = (lower: Matrix): number => lower.reduce((sum, row, i) => sum + Math.log(row[i]!), 0);

function drawsFrom(
  mixture: readonly Component[],
  density: LogDensity,
  count: number,
  random: SeededRandom,
): Particles {
  const { size } = density;
  const points = new Float64Array(count * size);
  const logs = new Float64Array(count);
  const point = new Float64Array(size);
  const scratch = new Float64Array(size);
  let k = 0;
  mixture.forEach((component, index) => {
    const own = index === mixture.length - 1 ? count - k : Math.round(component.share * count);
    for (let draw = 0; draw < own && k < count; draw++, k++) {
      drawInto(point, component, random, scratch);
      points.set(point, k * size);
      logs[k] = density.value(point) - logMixture(mixture, point, scratch);
    }
  });
  return { count, size, points, ...weightsFromLogs(logs) };
}

function drawInto(
  point: Float64Array,
  { centre, lower, stretch }: Component,
  random: SeededRandom,
  scratch: Float64Array,
): void {
  let chiSquare = 0;
  for (let i = 0; i < tailFreedom; i++) chiSquare += random.normal() ** 2;
  const scale = stretch * Math.sqrt(tailFreedom / chiSquare);
  for (let i = 0; i < point.length; i++) scratch[i] = random.normal();
  for (let i = 0; i < point.length; i++) {
    const row = lower[i]!;
    let sum = 0;
    for (let j = 0; j <= i; j++) sum += row[j]! * scratch[j]!;
    point[i] = centre[i]! + scale * sum;
  }
}

/** Up to a constant that is the same for all points. */
function logMixture(mixture: readonly Component[], point: Vector, scratch: Float64Array): number {
  const size = point.length;
  let density = 0;
  for (const { share, centre, lower, stretch, logVolume } of mixture) {
    let square = 0;
    for (let i = 0; i < size; i++) {
      const row = lower[i]!;
      let sum = point[i]! - centre[i]!;
      for (let j = 0; j < i; j++) sum -= row[j]! * scratch[j]!;
      scratch[i] = sum / row[i]!;
      square += scratch[i]! ** 2;
    }
    const tail = Math.log1p(square / (stretch * stretch * tailFreedom));
    density += share * Math.exp((-(tailFreedom + size) / 2) * tail - logVolume - size * Math.log(stretch));
  }
  return Math.log(density + 1e-300);
}

/** Half the new draws follow the weighted moments; the old mixture stays as a defence. */
function refittedMixture(mixture: readonly Component[], draws: Particles): Component[] | undefined {
  const { mean, covariance } = momentsOf(flattened(draws));
  for (let i = 0; i < covariance.length; i++) covariance[i]![i]! += 1e-5;
  const lower = choleskyOf(covariance);
  if (lower === undefined) return undefined;
  const fitted = { centre: mean, lower, logVolume: logVolumeOf(lower) };
  const old = mixture.slice(0, 5);
  const oldShare = old.reduce((sum, { share }) => sum + share, 0);
  return [
    { ...fitted, stretch: 1.1, share: 0.5 },
    { ...fitted, stretch: 1.9, share: 0.15 },
    ...old.map((component) => ({ ...component, share: (0.35 * component.share) / oldShare })),
  ];
}

/** Where very few draws carry all the weight, their moments are taken from tempered weights. */
function flattened(draws: Particles): Particles {
  if (draws.effectiveCount >= 10 * draws.size) return draws;
  const power = draws.effectiveCount < 2 * draws.size ? 0.35 : 0.6;
  return { ...draws, ...weightsFromLogs(draws.weights.map((weight) => power * Math.log(weight + 1e-300))) };
}
