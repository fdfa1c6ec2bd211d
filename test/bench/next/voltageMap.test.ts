import { describe, expect, it } from "vitest";
import { acceptableHazardPerMinute, targetOfUse } from "../../../server/bench/limit/acceptance.ts";
import { limitFitOf } from "../../../server/bench/limit/limitFit.ts";
import { clocksAtHazard, limitDrawsOf } from "../../../server/bench/limit/limitReach.ts";
import { usualBenchCosts } from "../../../server/bench/next/benchCosts.ts";
import { trialForecastsOf } from "../../../server/bench/next/trialForecast.ts";
import { bestMapTrialOf, mapPointsOf } from "../../../server/bench/next/voltageMap.ts";
import { clockStepsOf } from "../../../server/bench/things/clockSteps.ts";
import type { EvidenceRow } from "../../../server/bench/things/evidenceRow.ts";
import { weightedQuantilesOf } from "../../../server/numerics/weightedQuantiles.ts";
import { evidenceRow, testChip, testWorkload } from "../../support/evidenceRows.ts";

const hazard = acceptableHazardPerMinute(targetOfUse.benchmark);
const drawsOf = (rows: readonly EvidenceRow[]) => {
  const question = {
    chip: testChip(),
    hottestAmbientC: 30,
    rows,
    workloads: [testWorkload("all-core")],
    seed: 1,
  };
  const fit = limitFitOf(question)!;
  return limitDrawsOf(fit, fit.draws, null);
};
const tried = (clockMhz: number, outcome: EvidenceRow["outcome"], durationS: number) =>
  evidenceRow({ clockMhz, outcome, durationS, loadTempC: 70 });
const little = drawsOf([tried(4700, "pass", 1200), tried(4800, "pass", 1200), tried(5000, "freeze", 200)]);
const much = drawsOf(
  [4900, 4925, 4950, 4950, 4975].flatMap((clockMhz) => [
    tried(clockMhz, "pass", 7200),
    tried(clockMhz + 75, "freeze", 200),
  ]),
);
const pointAt = (draws: typeof little, stepMhz: number, mostMhz = Infinity) =>
  mapPointsOf(draws, [1250], { hazard, stepMhz, mostByHeatMhz: () => mostMhz })[0]!;

/** How far the middle lies above what nine in ten reach. */
function openAt(draws: typeof little): Readonly<{ openMhz: number; middleMhz: number }> {
  const clocks = clocksAtHazard(draws, 1250, hazard);
  const [sure, middle] = weightedQuantilesOf(clocks, draws.weights, [0.1, 0.5]) as [number, number];
  return { openMhz: middle - sure, middleMhz: middle };
}

describe("a voltage of a map", () => {
  it("is known once its middle lies within one and three quarter steps of what nine in ten reach", () => {
    const { openMhz, middleMhz } = openAt(little);
    expect(openMhz).toBeGreaterThan(0.0075 * middleMhz);
    expect(pointAt(little, (1.01 * openMhz) / 1.75).known).toBe(true);
    expect(pointAt(little, (0.99 * openMhz) / 1.75).known).toBe(false);
  });

  it("is known, however fine the steps, within 0.75 % of the clock, and where heat sets the end", () => {
    const { openMhz, middleMhz } = openAt(much);
    expect(openMhz).toBeLessThan(0.0075 * middleMhz);
    expect(pointAt(much, 1).known).toBe(true);
    expect(pointAt(little, 1).known).toBe(false);
    expect(pointAt(little, 1, 4000).known).toBe(true);
  });

  it("is not known while nothing failed, however narrow its passes make it look, unless heat sets the end", () => {
    const passes = drawsOf([4600, 5000, 5400, 5800, 6200].map((clockMhz) => tried(clockMhz, "pass", 7200)));
    const { openMhz, middleMhz } = openAt(passes);
    const looksKnown = (openMhz / 1.75) * 1.01;
    expect(pointAt(passes, looksKnown).known).toBe(false);
    expect(pointAt(passes, looksKnown, middleMhz - 1).known).toBe(true);
  });
});

describe("bestMapTrialOf(points, draws, choice)", () => {
  const point = pointAt(little, 25);
  const asked = (highestMhz: number, refuses = (_: { clockMhz: number }) => false) =>
    bestMapTrialOf([point], little, {
      ...{
        inReach: [point],
        steps: clockStepsOf(testChip({ stockClockMhz: 4600, clockStepMhz: 25 })),
        highestMhz,
        durations: [10],
        costs: usualBenchCosts,
      },
      refuses,
    });

  it("takes the attempt that narrows most a minute, a crash costing a quarter of an hour more", () => {
    const { weights } = little;
    const { clocks, meanMhz, variance } = point;
    const varianceAfter = (end: Float64Array): number => {
      const chances = weights.map((weight, k) => weight * end[k]!);
      const mass = chances.reduce((sum, chance) => sum + chance, 0);
      if (mass === 0) return 0;
      const mean = chances.reduce((sum, chance, k) => sum + chance * (clocks[k]! - meanMhz), 0) / mass;
      return chances.reduce((sum, chance, k) => sum + chance * (clocks[k]! - meanMhz - mean) ** 2, 0);
    };
    const all = Array.from({ length: 60 }, (_, rung) => ({
      clockMhz: 4100 + 25 * rung,
      voltageMv: 1250,
    })).flatMap((setting) => trialForecastsOf(little, setting, [10], usualBenchCosts));
    const worth = all.map(({ ends, expectedMinutes, chanceOfPass }) => {
      const after = ends.reduce((sum, end) => sum + varianceAfter(end), 0);
      return (
        Math.log((variance + 8 ** 2) / (after + 8 ** 2)) / 2 / (expectedMinutes + 15 * (1 - chanceOfPass))
      );
    });
    const chosen = asked(6000)!;
    const here = worth[all.findIndex(({ clockMhz }) => clockMhz === chosen.clockMhz)]!;
    expect(chosen.narrowingPerMinute).toBeCloseTo(here, 9);
    // A wide band is looked at every other clock, or every third.
    expect(here).toBeGreaterThan(0.9 * Math.max(...worth));
  });

  it("tries clocks of the grid about the band, up to the highest allowed", () => {
    const { clockMhz } = asked(6000)!;
    expect((clockMhz - 4600) % 25).toBe(0);
    expect(clockMhz).toBeGreaterThan(point.lowMhz - 60);
    expect(clockMhz).toBeLessThan(point.highMhz + 90);
  });

  it("tries the highest clock allowed where that lies under the band, and none that is refused", () => {
    expect(asked(4310)?.clockMhz).toBe(4300);
    expect(asked(4310, ({ clockMhz }) => clockMhz === 4300)).toBeNull();
  });
});
