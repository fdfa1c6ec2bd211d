import { describe, expect, it } from "vitest";
import type { ForecastBin } from "../../server/numerics/forecastBins.ts";
import { decayOver, forecastCells, whitenedBy } from "../../server/numerics/forecastCells.ts";
import { seededRandom } from "../../server/numerics/seededRandom.ts";
import { slowForecastCell } from "../support/slowForecastCell.ts";

const driftSpan = 900;
const prior = { centre: [0, 18, 16, 74], weight: [25, 1 / 130, 1 / 100, 1 / 36] };

function binsFrom(seed: number): readonly ForecastBin[] {
  const { normal, index } = seededRandom(seed);
  return Array.from({ length: 12 }, (_, at) => ({
    centre: 12 + 25 * at,
    width: 20,
    count: 10 + index(10),
    mean: 72 - 18 * Math.exp(-(12 + 25 * at) / 10) - 16 * Math.exp(-(12 + 25 * at) / 190) + 0.3 * normal(),
  }));
}

describe("forecastCells", () => {
  it("agrees cell by cell with the normal density written down whole", () => {
    for (const seed of [1, 2]) {
      const bins = binsFrom(seed);
      const wanderings = [
        { deviation: 0.3, memory: 10, logPrior: 0 },
        { deviation: 0.6, memory: 25, logPrior: -0.5 },
      ];
      const columns = (times: readonly number[], logPrior: number) =>
        times.map((time) => ({ time, logPrior, decay: decayOver(bins, time) }));
      const white = wanderings.map((one) => whitenedBy(one, bins, 0.2, driftSpan)!);
      const cells = forecastCells(
        white,
        { quick: columns([7, 12], -0.1), slow: columns([150, 260], 0) },
        prior,
      );
      expect(cells).toHaveLength(8);
      const slow = cells.map((cell) => {
        const wandering = wanderings[white.indexOf(cell.white)]!;
        const one = slowForecastCell(bins, 0.2, wandering, driftSpan, cell.quickTime, cell.slowTime, prior);
        return { ...one, logWeight: one.logWeight + wandering.logPrior - 0.1 };
      });
      const best = Math.max(...slow.map(({ logWeight }) => logWeight));
      cells.forEach((cell, at) => {
        const obvious = slow[at]!;
        expect(cell.mean).toBeCloseTo(obvious.mean, 3);
        expect(cell.deviation).toBeCloseTo(obvious.deviation, 3);
        expect(cell.slow).toBeCloseTo(obvious.slow, 2);
        expect(Math.log(cell.weight)).toBeCloseTo(obvious.logWeight - best, 2);
      });
    }
  });

  it("leaves out cells that weigh next to nothing", () => {
    const bins = binsFrom(3).map((bin) => ({ ...bin, mean: 72 - 30 * Math.exp(-bin.centre / 190) }));
    const white = whitenedBy({ deviation: 0.02, memory: 10, logPrior: 0 }, bins, 0.001, driftSpan)!;
    const columns = (times: readonly number[]) =>
      times.map((time) => ({ time, logPrior: 0, decay: decayOver(bins, time) }));
    const cells = forecastCells([white], { quick: columns([10]), slow: columns([50, 190, 1800]) }, prior);
    expect(cells.map(({ slowTime }) => slowTime)).toEqual([190]);
    expect(cells[0]?.mean).toBeCloseTo(72, 0);
  });
});
