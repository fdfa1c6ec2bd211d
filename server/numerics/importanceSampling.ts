import { choleskyOf, inverseFromCholesky, type Matrix, type Vector } from "./cholesky.ts";
import { curvatureOf, type LogDensity } from "./logDensity.ts";
import type { Mode } from "./mode.ts";
import { momentsOf, type Particles, weightsFromLogs } from "./particles.ts";
import type { SeededRandom } from "./seededRandom.ts";

export type SamplingPlan = Readonly<{
  /** Draws of one round. */
  draws: number;
  /** Another round is drawn from a refitted mixture while all together are worth fewer draws than this. */
  wanted: number;
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
 * refitted to the weighted moments while too few draws are effective; all draws are kept, each weighted by the mixture
 * of all rounds (Cornuet et al. 2012, adaptive multiple importance sampling). Cost: draws times rounds times the density.
 */
export function importanceDraws(
  density: LogDensity,
  modes: readonly Mode[],
  plan: SamplingPlan,
  random: SeededRandom,
): Particles {
  let mixture = startingMixture(density, modes);
  const mixtures: Component[][] = [];
  let rounds = emptyRounds(density.size);
  for (;;) {
    mixtures.push(mixture);
    rounds = withRound(rounds, mixtures, density, plan.draws, random);
    const draws = weighted(rounds);
    if (draws.effectiveCount >= plan.wanted || mixtures.length >= plan.rounds) return draws;
    const refitted = refittedMixture(mixture, draws);
    if (refitted === undefined) return draws;
    mixture = refitted;
  }
}

/** All draws so far: their log densities, and the sum over the rounds of each round's mixture at them. */
type Rounds = Readonly<{ size: number; points: Float64Array; logs: Float64Array; mixed: Float64Array }>;

const emptyRounds = (size: number): Rounds => ({
  size,
  points: new Float64Array(0),
  logs: new Float64Array(0),
  mixed: new Float64Array(0),
});

/** One more round, drawn from the last of the mixtures; every draw is then weighed against every mixture. */
function withRound(
  before: Rounds,
  mixtures: readonly (readonly Component[])[],
  density: LogDensity,
  count: number,
  random: SeededRandom,
): Rounds {
  const { size } = before;
  const latest = mixtures[mixtures.length - 1]!;
  const old = before.logs.length;
  const fresh = drawsFrom(latest, size, count, random);
  const points = joined(before.points, fresh);
  const logs = joined(before.logs, new Float64Array(count));
  const mixed = joined(before.mixed, new Float64Array(count));
  const scratch = new Float64Array(size);
  for (let k = 0; k < logs.length; k++) {
    const point = points.subarray(k * size, (k + 1) * size);
    if (k >= old) logs[k] = density.value(point);
    for (const mixture of k < old ? [latest] : mixtures) mixed[k]! += mixtureAt(mixture, point, scratch);
  }
  return { size, points, logs, mixed };
}

function joined(first: Float64Array, second: Float64Array): Float64Array {
  const both = new Float64Array(first.length + second.length);
  both.set(first);
  both.set(second, first.length);
  return both;
}

function weighted({ size, points, logs, mixed }: Rounds): Particles {
  const ratios = logs.map((log, k) => log - Math.log(mixed[k]! + 1e-300));
  return { count: logs.length, size, points, ...weightsFromLogs(ratios) };
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

/** A quarter of the width that each coordinate alone would have, so that many records leave no step too wide. */
const narrowSteps = (curvature: Matrix): Vector =>
  Float64Array.from(curvature, (row, i) => Math.min(1e-3, 0.25 / Math.sqrt(Math.max(1, row[i]!))));

/** The factor of the covariance at a mode; no direction is taken to be wider than the prior allows. */
function spreadAt(density: LogDensity, at: Vector): Float64Array[] {
  const curvature = curvatureOf(density, at, narrowSteps(curvatureOf(density, at)));
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
  size: number,
  count: number,
  random: SeededRandom,
): Float64Array {
  const points = new Float64Array(count * size);
  const scratch = new Float64Array(size);
  let k = 0;
  mixture.forEach((component, index) => {
    const own = index === mixture.length - 1 ? count - k : Math.round(component.share * count);
    for (let draw = 0; draw < own && k < count; draw++, k++)
      drawInto(points.subarray(k * size, (k + 1) * size), component, random, scratch);
  });
  return points;
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

/** The density of a mixture, up to a constant that is the same for all points. */
function mixtureAt(mixture: readonly Component[], point: Vector, scratch: Float64Array): number {
  const size = point.length;
  let density = 0;
  for (const { share, centre, lower, stretch, logVolume } of mixture) {
    let square = 0;
    for (let i = 0; i < size; i++) {
      const row = lower[i]!;
      let sum = point[i]! - centre[i]!;
      for (let j = 0; j < i; j++) sum -= row[j]! * scratch[j]!;
      const part = sum / row[i]!;
      scratch[i] = part;
      square += part * part;
    }
    const tail = Math.log1p(square / (stretch * stretch * tailFreedom));
    density += share * Math.exp((-(tailFreedom + size) / 2) * tail - logVolume - size * Math.log(stretch));
  }
  return density;
}

/** Half the new draws follow the weighted moments; the old mixture stays as a defence. */
function refittedMixture(mixture: readonly Component[], draws: Particles): Component[] | undefined {
  const { mean, covariance } = momentsOf(flattened(draws));
  for (let i = 0; i < covariance.length; i++) covariance[i]![i]! = 1.001 * covariance[i]![i]! + 1e-10;
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
