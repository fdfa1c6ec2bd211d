import { describe, expect, it } from "vitest";
import { importanceDraws } from "../../server/numerics/importanceSampling.ts";
import { modesOf } from "../../server/numerics/mode.ts";
import { momentsOf, type Particles } from "../../server/numerics/particles.ts";
import { seededRandom } from "../../server/numerics/seededRandom.ts";
import { temperedDraws } from "../../server/numerics/temperedParticles.ts";
import { weightedQuantilesOf } from "../../server/numerics/weightedQuantiles.ts";
import { densityOf } from "../support/densities.ts";

/** A bent valley with a wall, as a limit between a pass and a crash makes it. */
const bent = densityOf(2, ([x, y]) => {
  const over = x! + 0.6 * y! * y! - 1;
  return (
    -Math.exp(Math.min(3 * over, 30)) + Math.log(-Math.expm1(-Math.exp(Math.min(3 * over + 2, 30))) + 1e-12)
  );
});

/** Slow and obvious: the density summed over a fine grid. */
function gridQuantiles(coordinate: 0 | 1, probabilities: readonly number[]): number[] {
  const axis = Array.from({ length: 601 }, (_, i) => -6 + i / 50);
  const mass = axis.map(() => 0);
  axis.forEach((x, i) => {
    axis.forEach((y, j) => {
      mass[coordinate === 0 ? i : j]! += Math.exp(bent.value([x, y]));
    });
  });
  return weightedQuantilesOf(axis, mass, probabilities)!;
}

const quantilesOf = ({ points, weights, count, size }: Particles, coordinate: number): number[] =>
  weightedQuantilesOf(
    Float64Array.from({ length: count }, (_, k) => points[k * size + coordinate]!),
    weights,
    [0.05, 0.5, 0.95],
  )!;

describe.each([
  [
    "importanceDraws",
    () =>
      importanceDraws(
        bent,
        modesOf(bent, [
          [0, 0],
          [0, 1],
          [0, -1],
        ]),
        { draws: 8000, wanted: 2400, rounds: 4 },
        seededRandom(3),
      ),
  ],
  ["temperedDraws", () => temperedDraws(bent, { particles: 4000, moves: 4, lastMoves: 8 }, seededRandom(4))],
])("%s", (_, draw) => {
  it("has the quantiles of a dense grid, to 0.1 prior deviations", () => {
    const draws = draw();
    for (const coordinate of [0, 1] as const)
      gridQuantiles(coordinate, [0.05, 0.5, 0.95]).forEach((expected, i) => {
        expect(Math.abs(quantilesOf(draws, coordinate)[i]! - expected)).toBeLessThan(0.1);
      });
  });

  it("repeats itself for the same seed and weighs to 1", () => {
    const draws = draw();
    expect(draw().points).toEqual(draws.points);
    expect(draws.weights.reduce((sum, weight) => sum + weight, 0)).toBeCloseTo(1, 10);
  });
});

describe("importanceDraws", () => {
  it("gives the mean and spread of a normal posterior, and nearly all draws count", () => {
    const density = densityOf(3, (at) => -2 * ((at[0]! - 1) ** 2 + (at[1]! + 1) ** 2));
    const draws = importanceDraws(
      density,
      modesOf(density, [[0, 0, 0]]),
      { draws: 4000, wanted: 1200, rounds: 3 },
      seededRandom(5),
    );
    const { mean, covariance } = momentsOf(draws);
    expect(mean[0]).toBeCloseTo(0.8, 1);
    expect(mean[1]).toBeCloseTo(-0.8, 1);
    expect(covariance[0]![0]).toBeCloseTo(0.2, 1);
    expect(covariance[2]![2]).toBeCloseTo(1, 0);
    expect(draws.effectiveCount).toBeGreaterThan(1200);
  });

  it("weighs two modes far apart by their mass", () => {
    const two = densityOf(1, ([x]) =>
      Math.log(Math.exp(-20 * (x! - 2) ** 2) + Math.exp(-20 * (x! + 2) ** 2)),
    );
    const modes = modesOf(two, [[1.5], [-1.5]]);
    expect(modes).toHaveLength(2);
    const draws = importanceDraws(two, modes, { draws: 4000, wanted: 1200, rounds: 2 }, seededRandom(6));
    let above = 0;
    for (let k = 0; k < draws.count; k++) if (draws.points[k]! > 0) above += draws.weights[k]!;
    expect(above).toBeCloseTo(0.5, 1);
  });
});
