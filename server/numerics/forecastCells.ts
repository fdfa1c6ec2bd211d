import { choleskyOf, forwardSolution, type Matrix } from "./cholesky.ts";
import type { ForecastBin } from "./forecastBins.ts";

/** How readings wander about a curve: an Ornstein-Uhlenbeck process of this standard deviation that lasts so long. */
export type Wandering = Readonly<{ deviation: number; memory: number; logPrior: number }>;

/** A time constant, how likely it was beforehand (a logarithm), and the means of -exp(-x / time) over the bins. */
export type TimeColumn = Readonly<{ time: number; logPrior: number; decay: Float64Array }>;

export type TimeGrid = Readonly<{ quick: readonly TimeColumn[]; slow: readonly TimeColumn[] }>;

/** For drift, quick amplitude, slow amplitude and level: where each is expected and the inverse square of how surely. */
export type LinearPrior = Readonly<{ centre: readonly number[]; weight: readonly number[] }>;

/** What the readings say where both time constants and the wandering are given. */
export type ForecastCell = Readonly<{
  weight: number;
  /** Of the level. */
  mean: number;
  deviation: number;
  /** Of the slow part, with the level at its mean. */
  slow: number;
  quickTime: number;
  slowTime: number;
  white: Whitened;
}>;

/** A wandering with what does not depend on the time constants: everything solved by the factor of its covariance. */
export type Whitened = Readonly<{
  lower: Matrix;
  level: Float64Array;
  drift: Float64Array;
  readings: Float64Array;
  base: number;
}>;

/** Undefined where the covariance is not positive definite. `scatter` is the variance that neighbours do not share. Cost: cubic in the bins. */
export function whitenedBy(
  wandering: Wandering,
  bins: readonly ForecastBin[],
  scatter: number,
  driftSpan: number,
): Whitened | undefined {
  const lower = choleskyOf(covariance(bins, scatter, wandering));
  if (lower === undefined) return undefined;
  const solved = (value: (bin: ForecastBin) => number) => forwardSolution(lower, binByBin(bins, value));
  const readings = solved((bin) => bin.mean);
  const logDeterminant = lower.reduce((sum, row, at) => sum + Math.log(row[at] as number), 0);
  return {
    lower,
    level: solved(() => 1),
    drift: solved((bin) => bin.centre / driftSpan),
    readings,
    base: wandering.logPrior - logDeterminant - 0.5 * dot(readings, readings),
  };
}

const leastVariance = 0.0025;

/** The covariance of the bins' means: wandering averaged over each bin, and what neighbours do not share. */
function covariance(bins: readonly ForecastBin[], scatter: number, { deviation, memory }: Wandering): Matrix {
  const square = deviation * deviation;
  const reach = binByBin(bins, ({ width }) => width / memory);
  const share = reach.map((width) => -Math.expm1(-width) / width);
  const place = binByBin(bins, ({ centre }) => centre / memory);
  return bins.map(({ count }, i) => {
    const row = new Float64Array(i + 1);
    const [at = 0, width = 0, own = 0] = [place[i], reach[i], share[i]];
    for (let j = 0; j < i; j += 1) {
      const apart = Math.max(0, at - (place[j] as number) - (width + (reach[j] as number)) / 2);
      row[j] = square * Math.exp(-apart) * own * (share[j] as number);
    }
    row[i] = (2 * square * (1 - own)) / width + scatter / count + leastVariance;
    return row;
  });
}

/** The means of -exp(-x / time) over the bins, to 5e-14 of each where a bin is under 600 times as wide as the time. */
export const decayOver = (bins: readonly ForecastBin[], time: number): Float64Array =>
  binByBin(bins, ({ centre, width }) => {
    const half = width / 2 / time;
    return (-Math.exp(-centre / time) * Math.sinh(Math.min(half, 300))) / half;
  });

type Column = Readonly<{
  time: number;
  logPrior: number;
  values: Float64Array;
  square: number;
  byDrift: number;
  byLevel: number;
  byReadings: number;
}>;

function columnUnder(white: Whitened, { time, logPrior, decay }: TimeColumn): Column {
  const values = forwardSolution(white.lower, decay);
  return {
    time,
    logPrior,
    values,
    square: dot(values, values),
    byDrift: dot(values, white.drift),
    byLevel: dot(values, white.level),
    byReadings: dot(values, white.readings),
  };
}

/** Weighing less than this beside the best, a cell says nothing. */
const negligible = 1e-6;

/**
 * The cells of a grid under each wandering, as far as they matter, with their weights beside the best one's: what is left
 * out weighs less than a millionth of it.
 */
export function forecastCells(
  white: readonly Whitened[],
  grid: TimeGrid,
  prior: LinearPrior,
): readonly ForecastCell[] {
  const cells = white.flatMap((one) => cellsUnder(one, grid, prior));
  let best = Number.NEGATIVE_INFINITY;
  for (const { logWeight } of cells) best = Math.max(best, logWeight);
  const weighed: ForecastCell[] = [];
  for (const { logWeight, mean, deviation, slow, quickTime, slowTime, white } of cells) {
    const weight = Math.exp(logWeight - best);
    if (weight > negligible) weighed.push({ weight, mean, deviation, slow, quickTime, slowTime, white });
  }
  return weighed;
}

type LoggedCell = Omit<ForecastCell, "weight"> & Readonly<{ logWeight: number }>;

/**
 * The posterior of the four linear unknowns in every cell of a grid under one wandering. Method: the normal equations,
 * summed once per pair of columns, and their triangular factor written out, the level last, so that its mean and
 * deviation are read off the last row.
 */
function cellsUnder(white: Whitened, grid: TimeGrid, { centre, weight }: LinearPrior): readonly LoggedCell[] {
  const [c1 = 0, c2 = 0, c3 = 0, c4 = 0] = centre;
  const [w1 = 0, w2 = 0, w3 = 0, w4 = 0] = weight;
  const { drift, level, readings } = white;
  const slowColumns = grid.slow.map((column) => columnUnder(white, column));
  const l11 = Math.sqrt(dot(drift, drift) + w1);
  const z1 = (dot(drift, readings) + w1 * c1) / l11;
  const l41 = dot(level, drift) / l11;
  const a44 = dot(level, level) + w4 - l41 * l41;
  const b4 = dot(level, readings) + w4 * c4 - l41 * z1;
  const cells: LoggedCell[] = [];
  let best = Number.NEGATIVE_INFINITY;
  for (const column of grid.quick) {
    const quick = columnUnder(white, column);
    const l21 = quick.byDrift / l11;
    const l22 = Math.sqrt(quick.square + w2 - l21 * l21);
    const z2 = (quick.byReadings + w2 * c2 - l21 * z1) / l22;
    const l42 = (quick.byLevel - l41 * l21) / l22;
    for (const slow of slowColumns) {
      const l31 = slow.byDrift / l11;
      const l32 = (dot(quick.values, slow.values) - l31 * l21) / l22;
      const l33 = Math.sqrt(slow.square + w3 - l31 * l31 - l32 * l32);
      const z3 = (slow.byReadings + w3 * c3 - l31 * z1 - l32 * z2) / l33;
      const l43 = (slow.byLevel - l41 * l31 - l42 * l32) / l33;
      const l44 = Math.sqrt(a44 - l42 * l42 - l43 * l43);
      const z4 = (b4 - l42 * z2 - l43 * z3) / l44;
      const mean = z4 / l44;
      const logWeight =
        white.base +
        quick.logPrior +
        slow.logPrior -
        Math.log(l11 * l22 * l33 * l44) +
        0.5 * (z1 * z1 + z2 * z2 + z3 * z3 + z4 * z4);
      if (!(logWeight > best + Math.log(negligible))) continue;
      best = Math.max(best, logWeight);
      cells.push({
        logWeight,
        mean,
        deviation: 1 / l44,
        slow: (z3 - l43 * mean) / l33,
        quickTime: quick.time,
        slowTime: slow.time,
        white,
      });
    }
  }
  return cells;
}

/** A loop, since Float64Array.from with a function takes a third of the whole forecast. */
function binByBin(bins: readonly ForecastBin[], value: (bin: ForecastBin) => number): Float64Array {
  const values = new Float64Array(bins.length);
  for (let i = 0; i < values.length; i += 1) values[i] = value(bins[i] as ForecastBin);
  return values;
}

function dot(a: Float64Array, b: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < a.length; i += 1) sum += (a[i] as number) * (b[i] as number);
  return sum;
}
