import { describe, expect, it } from "vitest";
import { clockErrorsOf } from "../../../server/bench/limit/errorRate.ts";
import { fitOf, type LimitGrounds, limitGroundsOf, modelOf } from "../../../server/bench/limit/limitFit.ts";
import {
  logHazardAtLimit,
  parametersAt,
  referenceTempC,
} from "../../../server/bench/limit/limitParameters.ts";
import type { EvidenceRow } from "../../../server/bench/things/evidenceRow.ts";
import type { Vector } from "../../../server/numerics/cholesky.ts";
import { seededRandom } from "../../../server/numerics/seededRandom.ts";
import { errorCounter } from "../../support/correctingChip.ts";
import { evidenceRow, testChip, testWorkload } from "../../support/evidenceRows.ts";
import { ranOn, simulatedChip, trueClockAt } from "../../support/simulatedChip.ts";

const hazard = -Math.log(0.9) / 60;

/** Twenty attempts about the limit, warm from the start, with what was counted of a chip that corrects errors first. */
const rows: EvidenceRow[] = (() => {
  const random = seededRandom(61);
  const chip = simulatedChip("mixed", random);
  const counted = errorCounter("makes", 5);
  return Array.from({ length: 20 }, () => {
    const clockMhz = 25 * Math.round((trueClockAt(chip, 1250, hazard) + 60 * random.normal()) / 25);
    const row = counted(ranOn(chip, { clockMhz, voltageMv: 1250, minutes: 20 }, random));
    return { ...row, startTempC: 150 };
  });
})();

const groundsOf = (told: readonly EvidenceRow[], differing: object = {}): LimitGrounds =>
  limitGroundsOf({
    ...{ chip: testChip(), hottestAmbientC: 30, rows: told, workloads: [testWorkload("all-core")] },
    ...differing,
  })!;

const without = groundsOf(rows, { errors: false });

/** Slow and obvious: the log chance of all counts, as it is written in words. */
function slowErrors({ records, frame }: LimitGrounds, at: Vector): number {
  const p = parametersAt(at, frame);
  const [u, v] = Array.from(at).slice(-2);
  const chanceOf = (count: number, mean: number): number =>
    0.985 * (1 / (1 + mean)) * (mean / (1 + mean)) ** count + 0.015 / ((count + 1) * (count + 2));
  let [rising, level] = [0.03, 0.97];
  for (const { errors, count, clockMhz, steadyTempC, minutesFrom, minutesMore } of records) {
    if (errors === null) continue;
    const mu = p.logLimit - p.heat * (steadyTempC - referenceTempC);
    const failures = Math.exp(logHazardAtLimit + (Math.log(clockMhz) - mu) / p.sigma);
    const minutes = minutesFrom + minutesMore / 2;
    const strays = Math.exp(2 * v!) / 300;
    rising *= chanceOf(errors, minutes * (strays + failures * Math.exp(5 + 3 * u!))) ** count;
    level *= chanceOf(errors, minutes * strays) ** count;
  }
  return Math.log(rising + level);
}

describe("the corrected errors that attempts counted", () => {
  const grounds = groundsOf(rows);
  const model = modelOf(grounds);
  const { normal } = seededRandom(62);
  const anywhere = (): Float64Array => Float64Array.from({ length: model.size }, () => 0.4 * normal());

  it("add the chance that is written in words to the likelihood", () => {
    expect(grounds.records.some(({ errors }) => (errors ?? 0) > 20)).toBe(true);
    const records = grounds.records.map((record) => ({ ...record, errors: null }));
    const silent = modelOf({ ...grounds, records });
    for (let round = 0; round < 20; round++) {
      const at = anywhere();
      const told = model.likelihood(at) - silent.likelihood(at.slice(0, -2));
      expect(Math.abs(told - slowErrors(grounds, at))).toBeLessThan(1e-6 * Math.abs(told));
    }
  });

  it("have the slopes that differences show, warming up included", () => {
    const warming = modelOf(groundsOf(rows.map((row) => ({ ...row, startTempC: 25 }))));
    const slopes = new Float64Array(warming.size);
    for (let round = 0; round < 10; round++) {
      const at = anywhere();
      expect(warming.gradient(at, slopes)).toBeCloseTo(warming.value(at), 4);
      slopes.forEach((slope, i) => {
        const shifted = (by: number): number =>
          warming.value(at.map((value, j) => (j === i ? value + by : value)));
        const difference = (shifted(1e-5) - shifted(-1e-5)) / 2e-5;
        expect(Math.abs(slope - difference)).toBeLessThan(2e-4 * (1 + Math.abs(difference)));
      });
    }
  });

  it.each<[string, (row: EvidenceRow) => EvidenceRow]>([
    ["nobody counted", (row) => ({ ...row, correctedErrors: null })],
    ["all counted none", (row) => ({ ...row, correctedErrors: 0 })],
    [
      "all were corrected in memory or on the bus",
      (row) => ({ ...row, correctedErrors: 7, correctedErrorsAt: { memory: 4, bus: 3 } }),
    ],
  ])("change nothing of a fit, not in the last digit, where %s", (_, told) => {
    const silent = fitOf(groundsOf(rows.map(told)), 1);
    const expected = fitOf(without, 1);
    expect(silent.draws.points).toEqual(expected.draws.points);
    expect(silent.draws.weights).toEqual(expected.draws.weights);
    expect(fitOf(grounds, 1).draws.size).toBe(expected.draws.size + 2);
  });

  it("say nothing of a memory's clock", () => {
    const memory = groundsOf(rows, { chip: testChip({ kind: "memory" }) });
    expect(memory.records.every(({ errors }) => errors === null)).toBe(true);
  });

  it("count by place, those of core and cache alone, and not where none of them was read", () => {
    const read = (correctedErrorsAt: Record<string, number>): number | null =>
      clockErrorsOf(evidenceRow({ correctedErrors: 9, correctedErrorsAt }));
    expect(read({ core: 2, L2: 3, Bus: 4 })).toBe(5);
    expect(read({ memory: 9 })).toBeNull();
    expect(clockErrorsOf(evidenceRow({ correctedErrors: 9 }))).toBe(9);
  });
});
