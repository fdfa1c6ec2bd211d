import { describe, expect, it } from "vitest";
import type { EvidenceRow } from "../../server/bench/evidenceRow.ts";
import { fitOf, limitGroundsOf } from "../../server/bench/limitFit.ts";
import { chanceAcceptable, limitDrawsOf } from "../../server/bench/limitReach.ts";
import { seededRandom } from "../../server/numerics/seededRandom.ts";
import { evidenceRow } from "../support/evidenceRows.ts";
import { chipKinds, simulatedChip } from "../support/simulatedChip.ts";
import { coverageOf, type Fitting, stresses, withPlainMinutes } from "./coverage.ts";
import {
  type Bench,
  bisectionWithProof,
  climb,
  hazard,
  isUnfit,
  meanOf,
  proposedMap,
  proposedWalk,
  questionFor,
  warmClimbs,
} from "./walks.ts";

const tooSoft = "a limit 3 times as soft";

/** The short form of `npm run promises`: fewer chips, so the counts allow for chance; seeds are fixed. */
const benchOf = (index: number): Bench => ({
  chip: simulatedChip(chipKinds[index % 3]!, seededRandom(900 + index)),
  random: seededRandom(5000 + index),
});

describe("the 90 % band over simulated chips", () => {
  const chips = 60;
  const sampled = coverageOf({ chips, attempts: 10 });

  it("holds the limit and the voltage for a clock in at least 85 of 100", () => {
    expect(sampled.limit).toBeGreaterThanOrEqual(0.87);
    expect(sampled.voltage).toBeGreaterThanOrEqual(0.85);
    expect(Math.abs(sampled.biasMhz)).toBeLessThan(15);
  });

  it("knows that six ten-minute passes are not an hour, and forgets it where every minute counts as a hot one", () => {
    const chanceOf = (rows: readonly EvidenceRow[], fitting: Fitting): number => {
      const fitted = fitting(limitGroundsOf(questionFor(rows, 1))!, 1);
      return chanceAcceptable(limitDrawsOf(fitted, fitted.draws, "all-core"), 5000, 1250, hazard);
    };
    const pass = (durationS: number) => evidenceRow({ clockMhz: 5000, loadTempC: 73, durationS });
    const crash = evidenceRow({ clockMhz: 5050, loadTempC: 73, durationS: 600, outcome: "freeze" });
    const tens = Array.from({ length: 6 }, () => pass(600));
    const gap = (fit: Fitting): number =>
      chanceOf([pass(3600), crash], fit) - chanceOf([...tens, crash], fit);
    expect(gap(fitOf)).toBeGreaterThan(0.05);
    expect(gap(withPlainMinutes)).toBeLessThan(0.03);
  });

  it.each(Object.entries(stresses).filter(([name]) => name !== tooSoft))("holds with %s", (_, stress) => {
    expect(coverageOf({ chips: 30, attempts: 10, ...stress }).limit).toBeGreaterThanOrEqual(0.75);
  });

  // The acceptable clock lies so far under a limit three times as soft that ten attempts near it hardly show it.
  it.fails(`holds in 85 of 100 with ${tooSoft}`, () => {
    expect(coverageOf({ chips: 30, attempts: 10, ...stresses[tooSoft] }).limit).toBeGreaterThanOrEqual(0.85);
  });
});

describe("what is proposed over simulated chips", () => {
  it("finds one voltage's clock in a tenth of the climb and 0.8 of the bisection, seldom an unfit one", () => {
    const benches = Array.from({ length: 18 }, (_, i) => i);
    const ours = benches.map((i) => ({ walk: proposedWalk(benchOf(i), 1250), bench: benchOf(i) }));
    const minutes = meanOf(ours.map(({ walk }) => walk.minutes));
    expect(minutes).toBeLessThan(0.1 * meanOf(benches.map((i) => climb(benchOf(i), 1250).minutes)));
    expect(minutes).toBeLessThan(
      0.8 * meanOf(benches.map((i) => bisectionWithProof(benchOf(i), 1250).minutes)),
    );
    const unfit = ours.filter(({ walk, bench }) => isUnfit(walk, bench.chip, 1250)).length;
    expect(unfit).toBeLessThanOrEqual(3);
  });

  it("maps six voltages in a tenth of the climbs, nearly all within a step", () => {
    const benches = [0, 1, 2];
    const maps = benches.map((i) => proposedMap(benchOf(i)));
    expect(meanOf(maps.map(({ minutes }) => minutes))).toBeLessThan(
      0.1 * meanOf(benches.map((i) => warmClimbs(benchOf(i)).minutes)),
    );
    expect(meanOf(maps.map(({ withinOneStep }) => withinOneStep))).toBeGreaterThanOrEqual(0.88);
  });
});
