import { describe, expect, it } from "vitest";
import { hotMinutes } from "../../../server/bench/heat/hotMinutes.ts";
import {
  fitOf,
  type LimitFit,
  type LimitGrounds,
  limitGroundsOf,
  modelOf,
} from "../../../server/bench/limit/limitFit.ts";
import {
  logHazardAtLimit,
  parametersAt,
  place,
  referenceTempC,
} from "../../../server/bench/limit/limitParameters.ts";
import { clocksAtHazard, limitDrawsOf } from "../../../server/bench/limit/limitReach.ts";
import { chanceOfStarts } from "../../../server/bench/limit/startThreshold.ts";
import { wrongShare } from "../../../server/bench/limit/wrongRecords.ts";
import type { EvidenceRow } from "../../../server/bench/things/evidenceRow.ts";
import type { Vector } from "../../../server/numerics/cholesky.ts";
import { normalCdf } from "../../../server/numerics/distributions.ts";
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

/** Half a normal of 4 % by halving its cumulated distribution, a normal of 2 %. */
function slowKnobs(shift: readonly number[] | null, at: Vector, from: number): number {
  if (shift === null) return 0;
  let [low, high] = [0, 1];
  for (let i = 0; i < 60; i++) {
    const middle = (low + high) / 2;
    if (2 * normalCdf(middle / 0.04) - 1 < normalCdf(at[from]!)) low = middle;
    else high = middle;
  }
  return -shift[0]! * low + 0.02 * shift[1]! * at[from + 1]!;
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

/** What share of its cost a degree loses: nothing down to 0.82 of the reference voltage, below it by the last coordinate. */
function slowTurn({ frame }: LimitGrounds, logVoltage: number, at: Vector): number {
  const share = Math.exp(logVoltage);
  if (!frame.heatTurns || share > 0.82) return 0;
  return (4 + 4 * at[at.length - 1]!) * Math.log(0.82 / share);
}

/** Slow and obvious: the log likelihood as it is written in words, record by record. */
function oracle(grounds: LimitGrounds, at: Vector): number {
  const p = parametersAt(at, grounds.frame);
  const failedStarts: number[] = [];
  let highestUp = -Infinity;
  const runs = grounds.records.reduce((sum, record) => {
    const x = Math.log(record.voltageMv / grounds.frame.voltageMv);
    const lighter = grounds.lighterIds.indexOf(record.workloadId);
    const mu =
      p.logLimit +
      p.slope * x -
      p.halfBend * x ** 2 -
      p.heat * (record.steadyTempC - referenceTempC - slowTurn(grounds, x, at) * (record.steadyTempC - 50)) +
      (lighter < 0 ? 0 : 0.015 * at[place.offsets + lighter]!) +
      slowKnobs(record.shift, at, place.offsets + grounds.lighterIds.length + grounds.boards);
    const efolds = (Math.log(record.clockMhz) - mu) / p.sigma;
    if (record.atStart) {
      for (let i = 0; i < record.count; i++) failedStarts.push(efolds);
      return sum;
    }
    highestUp = Math.max(highestUp, efolds);
    const lambda = Math.exp(logHazardAtLimit + efolds);
    const { minutesFrom, minutesMore, failed } = record;
    const usual = Math.log(0.00075 / 0.0022);
    const perC = Math.exp(usual - 0.1 * Math.log1p(Math.exp((usual - Math.log(p.heat / p.sigma)) / 0.1)));
    const hot = (minutes: number): number => hotMinutes(minutes, record.warmUpC, perC);
    const minutesTo = minutesFrom + minutesMore;
    const hotTo = Math.max(hot(minutesTo), 0.05 * minutesTo, 1.1 * hot(minutesFrom));
    const survives = (hotUntil: number, minutes: number): number =>
      Math.exp(-lambda * hotUntil - p.stray * minutes);
    const told = failed
      ? survives(hot(minutesFrom), minutesFrom) - survives(hotTo, minutesTo)
      : survives(hot(minutesFrom), minutesFrom);
    return sum + record.count * Math.log((1 - wrongShare) * told + wrongShare * (failed ? 0.15 : 0.5));
  }, 0);
  return runs + Math.log(slowChanceOfReach(failedStarts, highestUp));
}

/** Any of the failed starts may be wrong, each for itself; the lowest that is not stands for all. */
function slowChanceOfReach(failed: readonly number[], up: number): number {
  const none = (1 - wrongShare) * slowChanceOfStarts(Infinity, up);
  if (failed.length === 0) return none + wrongShare * 0.5;
  return [...failed]
    .sort((a, b) => b - a)
    .reduce(
      (next, efolds) => (1 - wrongShare) * slowChanceOfStarts(efolds, up) + wrongShare * 0.15 * next,
      slowChanceOfStarts(Infinity, up),
    );
}

/** Over thresholds drawn evenly between 2 and 15: the lowest failed start fails, the highest that came up does not. */
function slowChanceOfStarts(failed: number, up: number): number {
  const fails = (efolds: number, threshold: number): number => 1 / (1 + Math.exp((threshold - efolds) / 1.5));
  const cells = 4000;
  let sum = 0;
  for (let i = 0; i < cells; i++) {
    const threshold = 2 + (13 * (i + 0.5)) / cells;
    sum += fails(failed, threshold) * (1 - fails(Math.min(up, 10), threshold));
  }
  return sum / cells;
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
      expect(Math.abs(model.likelihood(at) / oracle(grounds, at) - 1)).toBeLessThan(1e-3);
    }
  });

  it("is that with knobs too", () => {
    const grounds = knobbed(groundsOf(25, 51));
    const model = modelOf(grounds);
    const { normal } = seededRandom(52);
    for (let round = 0; round < 20; round++) {
      const at = Float64Array.from({ length: model.size }, () => 0.7 * normal());
      expect(Math.abs(model.likelihood(at) / oracle(grounds, at) - 1)).toBeLessThan(1e-4);
    }
  });

  it("is that far below the reference voltage too, where heat may turn", () => {
    const grounds = lowered(groundsOf(25, 51));
    const model = modelOf(grounds);
    const { normal } = seededRandom(52);
    for (let round = 0; round < 20; round++) {
      const at = Float64Array.from({ length: model.size }, () => 0.4 * normal());
      expect(Math.abs(model.likelihood(at) / oracle(grounds, at) - 1)).toBeLessThan(1e-3);
    }
  });

  it.each([
    ["without knobs", groundsOf(25, 53), 7],
    ["with knobs", knobbed(groundsOf(25, 53)), 9],
    ["at low voltage", lowered(knobbed(groundsOf(25, 53))), 10],
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
