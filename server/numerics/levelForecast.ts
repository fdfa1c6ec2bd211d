import { type ForecastBin, forecastBinsOf } from "./forecastBins.ts";
import {
  decayOver,
  type ForecastCell,
  forecastCells,
  type LinearPrior,
  type TimeColumn,
  type TimeGrid,
  whitenedBy,
} from "./forecastCells.ts";
import { normalMixtureQuantile } from "./normalMixture.ts";

export type LevelForecast = Readonly<{
  /** The level that a curve with two time constants tends to, with its 95 % interval. */
  level: number;
  low: number;
  high: number;
  /** What is expected to be missing at the last point still. */
  remainder: number;
  /** When the curve comes within one unit of its level: the median, and the x it comes so close by in nine cases of ten. */
  settledMid: number;
  settledLate: number;
  /** The slow time constant: its median, and what it stays under in nine cases of ten. */
  slowMid: number;
  slowLate: number;
}>;

/** Another end that the readings leave open, and how likely it is beside all the curves together. */
export type OtherEnd = Readonly<{ weight: number; mean: number; deviation: number }>;

export type ForecastSettings = Readonly<{
  /** The step that the readings are rounded to. */
  step: number;
  /** Ends by other courses than one curve; the interval holds them too. */
  others?: readonly OtherEnd[];
}>;

const quickTimes = geometric(5, 22, 5);
const slowTimes = geometric(50, 1800, 24);
const wanderings = [0.1, 0.3, 0.5, 0.8].flatMap((deviation) =>
  [10, 25].map((memory) => ({ deviation, memory, logPrior: -0.5 * ((deviation - 0.3) / 0.3) ** 2 })),
);
/** A slow drift of the whole, per quarter of an hour. */
const driftDeviation = 0.2;
const driftSpan = 900;

/**
 * The level that readings tend to, from however much of the rise there is; undefined for fewer than eight bins. x counts
 * seconds from the start of the rise, in order. Method: a grid over both time constants and the wandering (an
 * Ornstein-Uhlenbeck process), the amplitudes, the level and a drift solved by linear algebra in each cell, the
 * levels mixed by posterior weight; where one cell and its neighbours have nearly all of it, once more on a finer grid
 * about it. Cost: some 1,500 cells and eight triangular factors of at most 60 bins.
 */
export function levelForecast(
  x: ArrayLike<number>,
  y: ArrayLike<number>,
  { step, others = [] }: ForecastSettings,
): LevelForecast | undefined {
  const bins = forecastBinsOf(x, y);
  if (bins.length < 8) return undefined;
  const scatter = scatterOfLevel(y, step);
  const white = wanderings.flatMap((one) => whitenedBy(one, bins, scatter, driftSpan) ?? []);
  const prior = priorOf(bins);
  const gridOf = (quick: readonly number[], slow: readonly number[]): TimeGrid => ({
    quick: columnsAt(bins, quick, quickWeight),
    slow: columnsAt(bins, slow, slowWeight),
  });
  const cells = forecastCells(white, gridOf(quickTimes, slowTimes), prior);
  const decided = decidedAbout(cells);
  const last = bins[bins.length - 1]?.centre ?? 0;
  if (decided === undefined) return forecastOf(cells, others, last);
  const likely = new Set(cells.flatMap((cell) => (cell.weight > 1e-3 ? [cell.white] : [])));
  return forecastOf(forecastCells([...likely], gridOf(decided.quick, decided.slow), prior), others, last);
}

function geometric(from: number, to: number, count: number): readonly number[] {
  return Array.from({ length: count }, (_, at) => from * (to / from) ** (at / (count - 1)));
}

/** The variance of readings that neighbours do not share, with what rounding to a step adds. */
export const scatterOfLevel = (y: ArrayLike<number>, step: number): number =>
  whiteVariance(y) + (step * step) / 12;

/** The part of the scatter that neighbours do not share, from their differences; leaps count as three units at most. */
function whiteVariance(y: ArrayLike<number>): number {
  let sum = 0;
  for (let i = 1; i < y.length; i += 1) sum += Math.min(((y[i] as number) - (y[i - 1] as number)) ** 2, 9);
  return Math.max((0.4 * sum) / (y.length - 1), 0.02);
}

/** For drift, quick amplitude, slow amplitude and level. */
function priorOf(bins: readonly ForecastBin[]): LinearPrior {
  const last = bins[bins.length - 1]?.mean ?? 0;
  const rise = Math.max(last - (bins[0]?.mean ?? 0), 5);
  return {
    centre: [0, rise * 0.55, rise * 0.5, last + 4],
    weight: [1 / driftDeviation ** 2, 1 / (rise * 0.35) ** 2, 1 / (rise * 0.3) ** 2, 1 / 36],
  };
}

const columnsAt = (
  bins: readonly ForecastBin[],
  times: readonly number[],
  logPrior: (time: number) => number,
): readonly TimeColumn[] =>
  times.map((time) => ({ time, logPrior: logPrior(time), decay: decayOver(bins, time) }));

const quickWeight = (time: number): number => -0.5 * (Math.log(time / 10) / 0.5) ** 2;

/** Most coolers take some three minutes; liquid loops and large cases are rarer and slower. */
const slowWeight = (time: number): number =>
  Math.log(
    (0.75 / 0.45) * Math.exp(-0.5 * (Math.log(time / 190) / 0.45) ** 2) +
      (0.25 / 0.6) * Math.exp(-0.5 * (Math.log(time / 550) / 0.6) ** 2),
  );

const decidedShare = 0.95;

type Times = Readonly<{ quick: readonly number[]; slow: readonly number[] }>;

/** Quiet readings single out one cell and its neighbours: then the truth lies between grid points, and those are spread there. */
function decidedAbout(cells: readonly ForecastCell[]): Times | undefined {
  const best = cells.find(({ weight }) => weight === 1);
  if (best === undefined) return undefined;
  const [quickReach, slowReach] = [ratioOf(quickTimes), ratioOf(slowTimes)];
  let near = 0;
  let total = 0;
  for (const { weight, quickTime, slowTime } of cells) {
    total += weight;
    const isNear =
      Math.abs(Math.log(quickTime / best.quickTime)) < 1.1 * quickReach &&
      Math.abs(Math.log(slowTime / best.slowTime)) < 1.1 * slowReach;
    if (isNear) near += weight;
  }
  if (near < decidedShare * total) return undefined;
  return { quick: about(best.quickTime, quickReach), slow: about(best.slowTime, slowReach) };
}

const ratioOf = (times: readonly number[]): number => Math.log((times[1] as number) / (times[0] as number));

const about = (time: number, reach: number): readonly number[] =>
  geometric(time * Math.exp(-1.5 * reach), time * Math.exp(1.5 * reach), 9);

function forecastOf(
  cells: readonly ForecastCell[],
  others: readonly OtherEnd[],
  last: number,
): LevelForecast | undefined {
  const sum = cells.reduce((all, { weight }) => all + weight, 0);
  const ends = [...cells, ...others.map((end) => ({ ...end, weight: end.weight * sum }))];
  const low = normalMixtureQuantile(ends, 0.025);
  const high = normalMixtureQuantile(ends, 0.975);
  if (low === undefined || high === undefined) return undefined;
  let total = 0;
  let level = 0;
  let remainder = 0;
  for (const { weight, mean, slow, slowTime } of cells) {
    total += weight;
    level += weight * mean;
    remainder += weight * Math.max(0, slow) * Math.exp(-last / slowTime);
  }
  const settled = cells
    .map(({ weight, slow, slowTime }) => ({
      weight: weight / total,
      x: slowTime * Math.log(Math.max(1, slow)),
    }))
    .sort((a, b) => a.x - b.x);
  const slows = cells
    .map(({ weight, slowTime }) => ({ weight: weight / total, x: slowTime }))
    .sort((a, b) => a.x - b.x);
  return {
    level: level / total,
    low,
    high,
    remainder: remainder / total,
    settledMid: quantileOf(settled, 0.5),
    settledLate: quantileOf(settled, 0.9),
    slowMid: quantileOf(slows, 0.5),
    slowLate: quantileOf(slows, 0.9),
  };
}

function quantileOf(sorted: readonly { weight: number; x: number }[], share: number): number {
  let sum = 0;
  for (const { weight, x } of sorted) {
    sum += weight;
    if (sum >= share) return x;
  }
  return sorted[sorted.length - 1]?.x ?? 0;
}
