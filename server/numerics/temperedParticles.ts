import { choleskyOf, type Matrix } from "./cholesky.ts";
import type { LogDensity } from "./logDensity.ts";
import { momentsOf, type Particles, resampled, weightsFromLogs } from "./particles.ts";
import type { SeededRandom } from "./seededRandom.ts";

export type TemperingPlan = Readonly<{ particles: number; moves: number; lastMoves: number }>;

/**
 * Draws from a posterior by letting the likelihood in step by step: sturdy where modes are many or oddly shaped, and
 * slower than importance sampling. Always an answer.
 * Method: tempered sequential Monte Carlo (Del Moral, Doucet and Jasra 2006): each step lets in as much as keeps half
 * the draws effective, then systematic resampling and random-walk Metropolis moves scaled to the particles' covariance.
 * Cost: particles times moves times steps, about ten to thirty steps.
 */
export function temperedDraws(density: LogDensity, plan: TemperingPlan, random: SeededRandom): Particles {
  let particles = priorDraws(density.size, plan.particles, random);
  let likelihoods = likelihoodsOf(density, particles);
  let heat = 0;
  let stretch = 1;
  for (let step = 0; heat < 1 && step < 80; step++) {
    const letIn = nextShare(likelihoods, 1 - heat);
    heat = step === 79 ? 1 : heat + letIn;
    const weighted = { ...particles, ...weightsFromLogs(likelihoods.map((value) => letIn * value)) };
    particles = resampled(weighted, plan.particles, random.uniform());
    likelihoods = likelihoodsOf(density, particles);
    const moves = heat >= 1 ? plan.lastMoves : plan.moves;
    stretch = moved(density, particles, likelihoods, { heat, moves, stretch }, random);
  }
  return particles;
}

function priorDraws(size: number, count: number, random: SeededRandom): Particles {
  const points = Float64Array.from({ length: count * size }, random.normal);
  return { count, size, points, weights: new Float64Array(count).fill(1 / count), effectiveCount: count };
}

const likelihoodsOf = (density: LogDensity, { points, count, size }: Particles): Float64Array =>
  Float64Array.from({ length: count }, (_, k) =>
    Math.max(-1e300, density.likelihood(points.subarray(k * size, (k + 1) * size))),
  );

/** The largest further share of the likelihood that leaves half of the draws effective. */
function nextShare(likelihoods: Float64Array, rest: number): number {
  const half = likelihoods.length / 2;
  const effective = (share: number): number =>
    weightsFromLogs(likelihoods.map((value) => share * value)).effectiveCount;
  if (effective(rest) >= half) return rest;
  let low = -14;
  let high = Math.log10(rest);
  for (let k = 0; k < 30; k++) {
    const middle = (low + high) / 2;
    if (effective(10 ** middle) < half) high = middle;
    else low = middle;
  }
  return 10 ** low;
}

/** Moves the particles in place and gives the stretch that would have had 28 % of the moves accepted. */
function moved(
  density: LogDensity,
  particles: Particles,
  likelihoods: Float64Array,
  { heat, moves, stretch }: Readonly<{ heat: number; moves: number; stretch: number }>,
  random: SeededRandom,
): number {
  const { count, size, points } = particles;
  const lower = moveShape(particles);
  const trial = new Float64Array(size);
  const normals = new Float64Array(size);
  let reach = stretch;
  for (let move = 0; move < moves; move++) {
    let accepted = 0;
    for (let k = 0; k < count; k++) {
      for (let i = 0; i < size; i++) normals[i] = random.normal();
      let priorGain = 0;
      for (let i = 0; i < size; i++) {
        const row = lower[i]!;
        let sum = 0;
        for (let j = 0; j <= i; j++) sum += row[j]! * normals[j]!;
        const old = points[k * size + i]!;
        trial[i] = old + reach * sum;
        priorGain += (old * old - trial[i]! ** 2) / 2;
      }
      const likelihood = Math.max(-1e300, density.likelihood(trial));
      if (Math.log(1 - random.uniform()) < heat * (likelihood - likelihoods[k]!) + priorGain) {
        points.set(trial, k * size);
        likelihoods[k] = likelihood;
        accepted += 1;
      }
    }
    reach *= Math.exp(1.2 * (accepted / count - 0.28));
  }
  return reach;
}

function moveShape(particles: Particles): Matrix {
  const { covariance } = momentsOf(particles);
  for (let i = 0; i < covariance.length; i++) covariance[i]![i]! += 1e-8;
  return (
    choleskyOf(covariance) ??
    covariance.map((row, i) => Float64Array.from(row, (_, j) => (i === j ? 0.01 : 0)))
  );
}
