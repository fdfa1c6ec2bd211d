import { hotMinutes } from "../../server/bench/heat/hotMinutes.ts";
import type { LimitRecord } from "../../server/bench/limit/limitEvidence.ts";
import type { LimitGrounds } from "../../server/bench/limit/limitFit.ts";
import {
  logHazardAtLimit,
  parametersAt,
  place,
  referenceTempC,
} from "../../server/bench/limit/limitParameters.ts";
import { wrongShare } from "../../server/bench/limit/wrongRecords.ts";
import type { Vector } from "../../server/numerics/cholesky.ts";
import { normalCdf } from "../../server/numerics/distributions.ts";

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

/**
 * Abscissas and weights of seven points for the integral of exp(-x^2) f(x) (Abramowitz and Stegun, table 25.10; from
 * memory, and held to the moments of the normal by the test).
 */
const hermite = [
  [0, 0.8102646175568],
  [0.816287882858965, 0.4256072526101],
  [1.673551628767471, 0.05451558281913],
  [2.651961356835233, 0.0009717812450995],
] as const;

/** The same for the standard normal. */
export const normalPoints = hermite.flatMap(([x, weight]) =>
  (x === 0 ? [0] : [-x, x]).map((one) => ({ z: Math.SQRT2 * one, weight: weight / Math.sqrt(Math.PI) })),
);

/** Each record's voltages with their weights, moved by the droop they share. */
function slowVoltages({ frame, knobs, lighterIds, boards }: LimitGrounds, record: LimitRecord, at: Vector) {
  const { voltageMv, placing } = record;
  if (placing === null) return [{ weight: 1, x: Math.log(voltageMv / frame.voltageMv) }];
  const droops = place.offsets + lighterIds.length + boards + knobs.length;
  return normalPoints.map(({ z, weight }) => {
    const readMv = voltageMv + z * placing.readDeviationMv;
    const shared = (placing.droopDeviationMv / readMv) * at[droops + placing.droop]!;
    return { weight, x: Math.log(readMv / frame.voltageMv) + shared };
  });
}

/** What share of its cost a degree loses: nothing down to 0.82 of the reference voltage, below it by the last coordinate. */
function slowTurn({ frame }: LimitGrounds, logVoltage: number, at: Vector): number {
  const share = Math.exp(logVoltage);
  if (!frame.heatTurns || share > 0.82) return 0;
  return (4 + 4 * at[at.length - 1]!) * Math.log(0.82 / share);
}

/** Slow and obvious: the log likelihood as it is written in words, record by record. */
export function slowLogLikelihood(grounds: LimitGrounds, at: Vector): number {
  const p = parametersAt(at, grounds.frame);
  const failedStarts: number[] = [];
  let highestUp = -Infinity;
  const chanceAt = (record: LimitRecord, x: number): { efolds: number; chance: number } => {
    const lighter = grounds.lighterIds.indexOf(record.workloadId);
    const mu =
      p.logLimit +
      p.slope * x -
      p.halfBend * x ** 2 -
      p.heat * (record.steadyTempC - referenceTempC - slowTurn(grounds, x, at) * (record.steadyTempC - 50)) +
      (lighter < 0 ? 0 : 0.015 * at[place.offsets + lighter]!) +
      slowKnobs(record.shift, at, place.offsets + grounds.lighterIds.length + grounds.boards);
    const efolds = (Math.log(record.clockMhz) - mu) / p.sigma;
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
    return { efolds, chance: (1 - wrongShare) * told + wrongShare * (failed ? 0.15 : 0.5) };
  };
  const runs = grounds.records.reduce((sum, record) => {
    const told = slowVoltages(grounds, record, at).map(({ weight, x }) => ({
      weight,
      ...chanceAt(record, x),
    }));
    const { efolds } = told[0]!;
    if (record.atStart) {
      for (let i = 0; i < record.count; i++) failedStarts.push(efolds);
      return sum;
    }
    highestUp = Math.max(highestUp, efolds);
    return sum + record.count * Math.log(told.reduce((all, { weight, chance }) => all + weight * chance, 0));
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
export function slowChanceOfStarts(failed: number, up: number): number {
  const fails = (efolds: number, threshold: number): number => 1 / (1 + Math.exp((threshold - efolds) / 1.5));
  const cells = 4000;
  let sum = 0;
  for (let i = 0; i < cells; i++) {
    const threshold = 2 + (13 * (i + 0.5)) / cells;
    sum += fails(failed, threshold) * (1 - fails(Math.min(up, 10), threshold));
  }
  return sum / cells;
}
