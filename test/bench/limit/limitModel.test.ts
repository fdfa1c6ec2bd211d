import { describe, expect, it } from "vitest";
import {
  fitOf,
  type LimitFit,
  type LimitGrounds,
  limitGroundsOf,
  modelOf,
} from "../../../server/bench/limit/limitFit.ts";
import { parametersAt, place } from "../../../server/bench/limit/limitParameters.ts";
import { clocksAtHazard, limitDrawsOf } from "../../../server/bench/limit/limitReach.ts";
import { chanceOfStarts } from "../../../server/bench/limit/startThreshold.ts";
import { wrongPass } from "../../../server/bench/limit/wrongRecords.ts";
import type { EvidenceRow } from "../../../server/bench/things/evidenceRow.ts";
import type { Vector } from "../../../server/numerics/cholesky.ts";
import { importanceDraws } from "../../../server/numerics/importanceSampling.ts";
import { modesOf } from "../../../server/numerics/mode.ts";
import { pointOf } from "../../../server/numerics/particles.ts";
import { seededRandom } from "../../../server/numerics/seededRandom.ts";
import { temperedDraws } from "../../../server/numerics/temperedParticles.ts";
import { weightedQuantilesOf } from "../../../server/numerics/weightedQuantiles.ts";
import { withLaplace } from "../../promises/coverage.ts";
import { densityOf, metropolisChain } from "../../support/densities.ts";
import { evidenceRow, testChip, testWorkload } from "../../support/evidenceRows.ts";
import { ranOn, simulatedChip, trueClockAt } from "../../support/simulatedChip.ts";
import { normalPoints, slowChanceOfStarts, slowLogLikelihood } from "../../support/slowLimit.ts";

const hazard = -Math.log(0.9) / 60;

function groundsOf(count: number, seed: number, loads = 1): LimitGrounds {
  const random = seededRandom(seed);
  const chip = simulatedChip("mixed", random);
  const rows = Array.from({ length: count }, (_, i) => {
    const voltageMv = 1150 + 50 * random.index(6);
    const clockMhz = 25 * Math.round((trueClockAt(chip, voltageMv, hazard) + 60 * random.normal()) / 25);
    const { row } = ranOn(chip, { clockMhz, voltageMv, minutes: [10, 20, 60][random.index(3)]! }, random);
    return i % (loads + 1) === loads ? { ...row, workloadId: "lighter" } : row;
  });
  const workloads = [testWorkload("all-core", { severity: 5 }), testWorkload("lighter", { severity: 1 })];
  return limitGroundsOf({ chip: testChip(), hottestAmbientC: 30, rows, workloads })!;
}

const knobColumns = [
  { knobId: "bus", kind: "slope", range: 500, side: null, value: null, attempts: 9 },
  { knobId: "line", kind: "offset", range: null, side: null, value: "level 4", attempts: 9 },
] as const;

/** The same record, warm from the start, with a knob that lies elsewhere in most attempts, and one of unknown direction in some. */
function knobbed(grounds: LimitGrounds): LimitGrounds {
  const records = grounds.records.map((record, i) => ({
    ...record,
    warmUpC: 0,
    shift: i % 3 === 0 ? null : [0.25 * ((i % 5) - 2), i % 2],
  }));
  return { ...grounds, records, knobs: knobColumns };
}

/** The same record at three quarters of its voltages and clocks to match, in rooms that differ. */
function lowered(grounds: LimitGrounds): LimitGrounds {
  const records = grounds.records.map((record, i) => ({
    ...record,
    ...{ voltageMv: 0.75 * record.voltageMv, clockMhz: 0.84 * record.clockMhz },
    steadyTempC: record.steadyTempC + 5 * ((i % 7) - 3),
  }));
  return { ...grounds, frame: { ...grounds.frame, heatTurns: true }, records };
}

/** The same record with every third voltage read and not set, by one of two droops. */
function readUnderLoad(grounds: LimitGrounds): LimitGrounds {
  const records = grounds.records.map((record, i) => ({
    ...record,
    placing:
      i % 3 > 0 || record.atStart
        ? null
        : { readDeviationMv: 3 + (i % 5), droopDeviationMv: 4 + (i % 2), droop: Number(i % 2 > 0) },
  }));
  return { ...grounds, records };
}

describe("starts that failed", () => {
  it("have the chance that a slow sum over thresholds gives, whatever failed and whatever came up", () => {
    for (const failed of [-5, 0, 2, 5, 9, 14, 30, Infinity])
      for (const up of [-Infinity, -4, 1, 4.99, 5, 8, 20]) {
        const slow = slowChanceOfStarts(failed, up);
        expect(Math.abs(chanceOfStarts(failed, up) - slow)).toBeLessThan(1e-6 + 1e-4 * slow);
      }
  });

  it("teach once: repeats and harder ones add nothing, and one that came up counts the other way", () => {
    const fitted = (clocks: readonly number[], up: readonly number[] = []): number[] => {
      const at = { durationS: 600, loadTempC: 72 };
      const rows = [
        evidenceRow({ ...at, clockMhz: 5000 }),
        evidenceRow({ ...at, clockMhz: 5100 }),
        ...up.map((clockMhz) => evidenceRow({ clockMhz, outcome: "freeze", durationS: 20 })),
        ...clocks.map((clockMhz) => evidenceRow({ clockMhz, outcome: "no-start", durationS: 0 })),
      ];
      const context = { chip: testChip(), hottestAmbientC: 30, rows, workloads: [testWorkload("all-core")] };
      return limitQuantiles(fitOf(limitGroundsOf(context)!, 1));
    };
    const once = fitted([5300]);
    const often = fitted([5300, 5300, 5300, 5350, 5400, 5300]);
    once.forEach((quantile, i) => {
      expect(Math.abs(quantile - often[i]!)).toBeLessThan(6);
    });
    expect(once[1]!).toBeLessThan(fitted([])[1]! - 40);
    expect(fitted([5300], [5275])[1]!).not.toBeCloseTo(once[1]!, -1);
  });

  it("are not all explained away as easily as one: five that failed keep the limit under the lowest", () => {
    const starts = [4200, 4250, 4300, 4350, 4400].map((clockMhz) =>
      evidenceRow({ clockMhz, voltageMv: 1250, outcome: "no-start", durationS: 0 }),
    );
    const pass = evidenceRow({ clockMhz: 4150, durationS: 3600, loadTempC: 65 });
    const highest = (rows: readonly EvidenceRow[]): number => {
      const chip = testChip({ stockClockMhz: 4600, stockVoltageMv: 1250 });
      const grounds = limitGroundsOf({
        ...{ chip, hottestAmbientC: 30, rows },
        workloads: [testWorkload("all-core")],
      })!;
      const fit = fitOf(grounds, 1);
      const draws = limitDrawsOf(fit, fit.draws, null);
      const clocks = clocksAtHazard(draws, 1250, hazard);
      return clocks.reduce((sum, mhz, k) => (mhz > 4400 ? sum + draws.weights[k]! : sum), 0);
    };
    expect(highest([pass, ...starts.slice(0, 1)])).toBeGreaterThan(0.01);
    expect(highest([pass, ...starts])).toBeLessThan(0.003);
  });
});

describe("the limit's likelihood", () => {
  it("is the one written in words, to a thousandth of its logarithm", () => {
    const grounds = groundsOf(25, 51);
    const model = modelOf(grounds);
    const { normal } = seededRandom(52);
    for (let round = 0; round < 20; round++) {
      const at = Float64Array.from({ length: model.size }, () => 0.7 * normal());
      expect(Math.abs(model.likelihood(at) / slowLogLikelihood(grounds, at) - 1)).toBeLessThan(1e-3);
    }
  });

  it("is that with knobs too", () => {
    const grounds = knobbed(groundsOf(25, 51));
    const model = modelOf(grounds);
    const { normal } = seededRandom(52);
    for (let round = 0; round < 20; round++) {
      const at = Float64Array.from({ length: model.size }, () => 0.7 * normal());
      expect(Math.abs(model.likelihood(at) / slowLogLikelihood(grounds, at) - 1)).toBeLessThan(1e-4);
    }
  });

  it("hears corrected errors by two coordinates of their own, beside those of knobs", () => {
    const { records, ...more } = knobbed(groundsOf(25, 51));
    const counted = records.map((record, i) => ({ ...record, errors: i % 2 === 0 ? i % 5 : null }));
    const model = modelOf({ ...more, records: counted });
    expect(model.size).toBe(modelOf({ ...more, records }).size + 2);
    const { normal } = seededRandom(52);
    const still = new Set(Array.from({ length: model.size }, (_, i) => i));
    for (let round = 0; round < 20; round++) {
      const at = Float64Array.from({ length: model.size }, () => 0.7 * normal());
      const told = model.likelihood(at);
      for (const i of still) {
        const moved = model.likelihood(at.map((value, j) => (j === i ? value + 0.2 : value)));
        if (Math.abs(moved - told) > 1e-6) still.delete(i);
      }
    }
    expect([...still]).toEqual([]);
  });

  it("is that far below the reference voltage too, where heat may turn", () => {
    const grounds = lowered(groundsOf(25, 51));
    const model = modelOf(grounds);
    const { normal } = seededRandom(52);
    for (let round = 0; round < 20; round++) {
      const at = Float64Array.from({ length: model.size }, () => 0.4 * normal());
      expect(Math.abs(model.likelihood(at) / slowLogLikelihood(grounds, at) - 1)).toBeLessThan(1e-3);
    }
  });

  it("is that with voltages that were read and not set, each by its own reading and by the droop it shares", () => {
    const grounds = readUnderLoad(knobbed(groundsOf(25, 51)));
    const model = modelOf(grounds);
    expect(model.size).toBe(11);
    for (const [power, moment] of [
      [0, 1],
      [2, 1],
      [4, 3],
      [12, 10_395],
    ] as const)
      expect(normalPoints.reduce((sum, { z, weight }) => sum + weight * z ** power, 0) / moment).toBeCloseTo(
        1,
        8,
      );
    const { normal } = seededRandom(52);
    for (let round = 0; round < 20; round++) {
      const at = Float64Array.from({ length: model.size }, () => 0.7 * normal());
      expect(Math.abs(model.likelihood(at) / slowLogLikelihood(grounds, at) - 1)).toBeLessThan(1e-4);
    }
  });

  it("says of a pass at a voltage that was read how likely it is wrong: its share of the chance of that pass", () => {
    const grounds = readUnderLoad(knobbed(groundsOf(25, 51)));
    const model = modelOf(grounds);
    const { normal } = seededRandom(55);
    const wrong = new Float64Array(grounds.records.length);
    for (let round = 0; round < 10; round++) {
      const at = Float64Array.from({ length: model.size }, () => 0.7 * normal());
      model.wrongChances(at, wrong);
      const all = slowLogLikelihood(grounds, at);
      grounds.records.forEach(({ failed, placing }, i) => {
        if (failed || placing === null) return; // what failed tells of starts too, and is not told by itself
        const others = grounds.records.filter((_, other) => other !== i);
        const chance = Math.exp(all - slowLogLikelihood({ ...grounds, records: others }, at));
        expect((wrong[i]! * chance) / wrongPass, `${round} ${i}`).toBeCloseTo(1, 3);
      });
    }
  });

  it.each([
    ["without knobs", groundsOf(25, 53), 7],
    ["with knobs", knobbed(groundsOf(25, 53)), 9],
    ["at low voltage", lowered(knobbed(groundsOf(25, 53))), 10],
    ["with voltages read", readUnderLoad(lowered(knobbed(groundsOf(25, 53)))), 12],
  ] as const)("has the slopes that differences show, %s", (_, grounds, size) => {
    const model = modelOf(grounds);
    expect(model.size).toBe(size);
    const { normal } = seededRandom(54);
    const slopes = new Float64Array(model.size);
    for (let round = 0; round < 10; round++) {
      const at = Float64Array.from({ length: model.size }, () => 0.5 * normal());
      expect(model.gradient(at, slopes)).toBeCloseTo(model.value(at), 4);
      slopes.forEach((slope, i) => {
        const step = 1e-5;
        const shifted = (by: number): number =>
          model.value(at.map((value, j) => (j === i ? value + by : value)));
        const difference = (shifted(step) - shifted(-step)) / (2 * step);
        expect(Math.abs(slope - difference)).toBeLessThan(1e-4 * (1 + Math.abs(difference)));
      });
    }
  });
});

const limitQuantiles = (fit: LimitFit, draws = fit.draws): number[] =>
  weightedQuantilesOf(
    clocksAtHazard(limitDrawsOf(fit, draws, null), 1250, hazard),
    draws.weights,
    [0.05, 0.5, 0.95],
  )!;

describe("the sampled limit", () => {
  it("has the quantiles of a long Markov chain on the same record, to 8 MHz in the ends and 4 in the middle", () => {
    const fit = fitOf(groundsOf(14, 55, 50), 1);
    expect(fit.method).toBe("importance");
    const chain = metropolisChain(
      fit.model,
      new Float64Array(fit.model.size).fill(0.1),
      25_000,
      seededRandom(52),
    );
    const points = Float64Array.from(chain.flatMap((at) => [...at]));
    const weights = new Float64Array(chain.length).fill(1 / chain.length);
    const long = { count: chain.length, size: fit.model.size, points, weights, effectiveCount: chain.length };
    const expected = limitQuantiles(fit, long);
    const found = limitQuantiles(fit);
    expect(Math.abs(found[0]! - expected[0]!)).toBeLessThan(8);
    expect(Math.abs(found[1]! - expected[1]!)).toBeLessThan(4);
    expect(Math.abs(found[2]! - expected[2]!)).toBeLessThan(8);
  });

  it("has the quantiles of a dense grid over limit and sharpness, all else held, to 3 MHz", () => {
    const model = modelOf(groundsOf(12, 57, 50));
    const embedded = (at: Vector): Float64Array => {
      const full = new Float64Array(model.size);
      full[place.headroom] = at[0]!;
      full[place.sharpness] = at[1]!;
      return full;
    };
    const reduced = densityOf(2, (at) => model.likelihood(embedded(at)));
    const limitMhz = (at: Vector): number => Math.exp(parametersAt(embedded(at), model.frame).logLimit);
    const draws = importanceDraws(
      reduced,
      modesOf(reduced, [
        [0, 0],
        [1, 0],
        [2, 0],
      ]),
      { draws: 6000, wanted: 1800, rounds: 4 },
      seededRandom(61),
    );
    const sampled = Float64Array.from({ length: draws.count }, (_, k) => limitMhz(pointOf(draws, k)));
    const limits: number[] = [];
    const masses: number[] = [];
    for (let headroom = -2; headroom < 4; headroom += 0.005)
      for (let sharpness = -4; sharpness <= 4; sharpness += 0.1) {
        limits.push(limitMhz([headroom, sharpness]));
        masses.push(Math.exp(reduced.value([headroom, sharpness])));
      }
    const dense = weightedQuantilesOf(limits, masses, [0.05, 0.5, 0.95])!;
    weightedQuantilesOf(sampled, draws.weights, [0.05, 0.5, 0.95])!.forEach((found, i) => {
      expect(Math.abs(found - dense[i]!)).toBeLessThan(3);
    });
  });

  it("agrees with tempered particles, which need no mode, to 25 MHz in the low end and 10 elsewhere", () => {
    const fit = fitOf(groundsOf(15, 58, 50), 1);
    const particles = temperedDraws(
      fit.model,
      { particles: 3000, moves: 8, lastMoves: 16 },
      seededRandom(59),
    );
    limitQuantiles(fit, particles).forEach((expected, i) => {
      expect(Math.abs(limitQuantiles(fit)[i]! - expected)).toBeLessThan(i === 0 ? 25 : 10);
    });
  });

  it("keeps the low end of a record that a softer limit explains too, which a normal at the highest mode forgets", () => {
    const grounds = groundsOf(12, 90, 50);
    const model = modelOf(grounds);
    const long = temperedDraws(model, { particles: 2000, moves: 8, lastMoves: 16 }, seededRandom(62));
    const fit = fitOf(grounds, 1);
    const lowest = limitQuantiles(fit, long)[0]!;
    expect(Math.abs(limitQuantiles(fit)[0]! - lowest)).toBeLessThan(100);
    expect(limitQuantiles(withLaplace(grounds, 1))[0]! - lowest).toBeGreaterThan(100);
  });

  it("repeats itself for a seed, and another seed moves it by no more than 4 MHz", () => {
    const grounds = groundsOf(12, 160, 50);
    expect(limitQuantiles(fitOf(grounds, 7))).toEqual(limitQuantiles(fitOf(grounds, 7)));
    const [first, second] = [7, 8].map((seed) => limitQuantiles(fitOf(grounds, seed)));
    expect(Math.abs(first![1]! - second![1]!)).toBeLessThan(4);
  });

  it("learns the stray rate: clean hours lower it, crashes at easy settings raise it", () => {
    const fitted = (outcome: "pass" | "freeze"): number => {
      const rows = Array.from({ length: 12 }, (_, i) =>
        evidenceRow({ clockMhz: i < 4 ? 4300 : 4800, durationS: 7200, outcome: i < 4 ? outcome : "pass" }),
      );
      const fit = fitOf(
        limitGroundsOf({
          chip: testChip(),
          hottestAmbientC: 30,
          rows,
          workloads: [testWorkload("all-core")],
        })!,
        1,
      );
      return weightedQuantilesOf(limitDrawsOf(fit, fit.draws, null).stray, fit.draws.weights, [0.5])![0]!;
    };
    expect(fitted("freeze")).toBeGreaterThan(5 * fitted("pass"));
  });
});

describe("what heat does far below the stock voltage", () => {
  const turns = (rows: readonly EvidenceRow[]): boolean =>
    limitGroundsOf({
      ...{ chip: testChip(), hottestAmbientC: 30, rows },
      workloads: [testWorkload("all-core")],
    })!.frame.heatTurns;
  const at = (voltageMv: number, loadTempC: number) => evidenceRow({ voltageMv, clockMhz: 3800, loadTempC });

  it("is asked only of runs so low whose temperatures lie apart", () => {
    expect(turns([at(900, 38), at(900, 55)])).toBe(true);
    expect(turns([at(900, 38), at(900, 41)])).toBe(false);
    expect(turns([at(1250, 50), at(1250, 85)])).toBe(false);
    expect(turns([at(900, 40), at(1250, 70)])).toBe(false);
  });
});
