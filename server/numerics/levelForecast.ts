import { choleskyOf, forwardSolution, type Matrix } from "./cholesky.ts";
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
}>;

export type ForecastSettings = Readonly<{
  /** The step that the readings are rounded to. */
  step: number;
}>;

const quickTimes = geometric(5, 22, 5);
const slowTimes = geometric(50, 1800, 24);
/** Wandering of the readings about the curve: its standard deviation and how long it lasts. */
const wanderings = [0.1, 0.3, 0.5, 0.8].flatMap((deviation) =>
  [10, 25].map((memory) => ({ deviation, memory })),
);
/** A slow drift of the whole, per quarter of an hour. */
const driftDeviation = 0.25;
const driftSpan = 900;
/** Widens the interval for what the model leaves out; found on simulated runs. */
const widening = 1.05;

/**
 * The level that readings tend to, from however much of the rise there is; undefined for fewer than eight bins. x counts
 * seconds from the start of the rise, in order. Method: a grid over both time constants and the wandering (an
 * Ornstein-Uhlenbeck process), the amplitudes, the level and a drift solved by linear algebra in each cell, the
 * levels mixed by posterior weight; where one cell and its neighbours have nearly all of it, once more on a finer grid
 * about it. Cost: some 2,300 cells and eight triangular factors of at most 120 bins.
 */
export function levelForecast(
  x: ArrayLike<number>,
  y: ArrayLike<number>,
  { step }: ForecastSettings,
): LevelForecast | undefined {
  const bins = binsOf(x, y);
  if (bins.length < 8) return undefined;
  const scatter = whiteVariance(y) + (step * step) / 12;
  const prior = priorOf(bins);
  const cellsOn = (grid: Grid) =>
    wanderings.flatMap((wandering) => cellsOf(bins, scatter, wandering, prior, grid));
  const cells = cellsOn(usualGrid);
  const finer = finerGrid(cells);
  return forecastOf(finer === undefined ? cells : cellsOn(finer), bins[bins.length - 1]?.centre ?? 0);
}

/** Quick and slow time constants, each evenly spaced on a logarithmic scale. */
type Grid = Readonly<{ quick: readonly number[]; slow: readonly number[] }>;

const usualGrid: Grid = { quick: quickTimes, slow: slowTimes };
const decidedShare = 0.95;

/** Quiet readings single out one cell and its neighbours: then the truth lies between grid points, and those are spread there. */
function finerGrid(cells: readonly Cell[]): Grid | undefined {
  const best = cells.reduce(
    (most, cell) => (cell.logWeight > most.logWeight ? cell : most),
    cells[0] as Cell,
  );
  const reach = { quick: ratioOf(quickTimes), slow: ratioOf(slowTimes) };
  const isNear = (cell: Cell): boolean =>
    Math.abs(Math.log(cell.quickTime / best.quickTime)) < 1.1 * reach.quick &&
    Math.abs(Math.log(cell.slowTime / best.slowTime)) < 1.1 * reach.slow;
  let near = 0;
  let total = 0;
  for (const cell of cells) {
    const weight = Math.exp(cell.logWeight - best.logWeight);
    total += weight;
    if (isNear(cell)) near += weight;
  }
  if (near < decidedShare * total) return undefined;
  return { quick: about(best.quickTime, reach.quick), slow: about(best.slowTime, reach.slow) };
}

const ratioOf = (times: readonly number[]): number => Math.log((times[1] as number) / (times[0] as number));

const about = (time: number, reach: number): readonly number[] =>
  geometric(time * Math.exp(-1.5 * reach), time * Math.exp(1.5 * reach), 13);

function geometric(from: number, to: number, count: number): readonly number[] {
  return Array.from({ length: count }, (_, at) => from * (to / from) ** (at / (count - 1)));
}

type Bin = Readonly<{ centre: number; width: number; count: number; mean: number }>;

const fineBins = 30;
const coarseBins = 80;

/** Ten seconds wide at first, wider where the run is long or the readings are few. */
function binsOf(x: ArrayLike<number>, y: ArrayLike<number>): readonly Bin[] {
  const span = (x[x.length - 1] as number) - (x[0] as number);
  const spacing = span / Math.max(1, x.length - 1);
  const width = Math.max(10, 4 * spacing);
  const wide = Math.max(width, (span - fineBins * width) / coarseBins);
  const sums = new Map<number, { count: number; x: number; y: number; width: number }>();
  for (let i = 0; i < x.length; i += 1) {
    const at = x[i] as number;
    const fine = at < fineBins * width;
    const key = fine ? Math.floor(at / width) : fineBins + Math.floor((at - fineBins * width) / wide);
    const sum = sums.get(key) ?? { count: 0, x: 0, y: 0, width: fine ? width : wide };
    sum.count += 1;
    sum.x += at;
    sum.y += y[i] as number;
    sums.set(key, sum);
  }
  const enough = Math.max(2, (0.4 * width) / Math.max(spacing, 1e-9));
  return [...sums.values()]
    .filter(({ count }) => count >= Math.min(4, enough))
    .map((sum) => ({
      centre: sum.x / sum.count,
      width: sum.width,
      count: sum.count,
      mean: sum.y / sum.count,
    }));
}

/** The part of the scatter that neighbours do not share, from their differences; leaps count as three units at most. */
function whiteVariance(y: ArrayLike<number>): number {
  let sum = 0;
  for (let i = 1; i < y.length; i += 1) sum += Math.min(((y[i] as number) - (y[i - 1] as number)) ** 2, 9);
  return Math.max((0.4 * sum) / (y.length - 1), 0.02);
}

/** For level, quick amplitude, slow amplitude and drift: where they are expected and how surely. */
type Prior = Readonly<{ centre: readonly number[]; weight: readonly number[] }>;

function priorOf(bins: readonly Bin[]): Prior {
  const last = bins[bins.length - 1]?.mean ?? 0;
  const rise = Math.max(last - (bins[0]?.mean ?? 0), 5);
  return {
    centre: [last + 4, rise * 0.55, rise * 0.5, 0],
    weight: [1 / 64, 1 / (rise * 0.35) ** 2, 1 / (rise * 0.3) ** 2, 1 / driftDeviation ** 2],
  };
}

type Cell = Readonly<{
  logWeight: number;
  mean: number;
  deviation: number;
  slow: number;
  quickTime: number;
  slowTime: number;
}>;

function cellsOf(
  bins: readonly Bin[],
  scatter: number,
  wandering: { deviation: number; memory: number },
  prior: Prior,
  grid: Grid,
): readonly Cell[] {
  const lower = choleskyOf(covariance(bins, scatter, wandering));
  if (lower === undefined) return [];
  const solved = (value: (bin: Bin) => number): Float64Array => forwardSolution(lower, bins.map(value));
  const readings = solved((bin) => bin.mean);
  const level = solved(() => 1);
  const drift = solved((bin) => bin.centre / driftSpan);
  const quick = grid.quick.map((time) => solved((bin) => -meanDecay(bin, time)));
  const slow = grid.slow.map((time) => solved((bin) => -meanDecay(bin, time)));
  const logDeterminant = lower.reduce((sum, row, at) => sum + Math.log(row[at] as number), 0);
  const base = -logDeterminant - 0.5 * dot(readings, readings);
  const steady = [level, drift, readings] as const;
  const quickDots = quick.map((column) => steady.map((other) => dot(column, other)));
  const slowDots = slow.map((column) => steady.map((other) => dot(column, other)));
  const levels = steady.map((other) => dot(level, other));
  const drifts = [dot(drift, drift), dot(drift, readings)] as const;
  const wanderingWeight = -0.5 * ((wandering.deviation - 0.3) / 0.3) ** 2;
  const squares = {
    quick: quick.map((column) => dot(column, column)),
    slow: slow.map((column) => dot(column, column)),
  };
  const cells: Cell[] = [];
  quick.forEach((quickColumn, q) => {
    const ofQuick = quickDots[q] as number[];
    slow.forEach((slowColumn, s) => {
      const ofSlow = slowDots[s] as number[];
      const products = [
        [levels[0]],
        [ofQuick[0], squares.quick[q]],
        [ofSlow[0], dot(quickColumn, slowColumn), squares.slow[s]],
        [levels[1], ofQuick[1], ofSlow[1], drifts[0]],
      ] as number[][];
      const right = [levels[2], ofQuick[2], ofSlow[2], drifts[1]] as number[];
      const cell = solvedCell(products, right, prior);
      if (cell === undefined) return;
      const [quickTime, slowTime] = [grid.quick[q] as number, grid.slow[s] as number];
      const known = wanderingWeight + quickWeight(quickTime) + slowWeight(slowTime);
      cells.push({ ...cell, logWeight: base + cell.logWeight + known, quickTime, slowTime });
    });
  });
  return cells;
}

const quickWeight = (time: number): number => -0.5 * (Math.log(time / 10) / 0.5) ** 2;

/** Most coolers take some three minutes; liquid loops and large cases are rarer and slower. */
const slowWeight = (time: number): number =>
  Math.log(
    (0.9 / 0.45) * Math.exp(-0.5 * (Math.log(time / 190) / 0.45) ** 2) +
      (0.1 / 0.7) * Math.exp(-0.5 * (Math.log(time / 450) / 0.7) ** 2),
  );

/** The mean of exp(-x / time) over a bin. */
function meanDecay({ centre, width }: Bin, time: number): number {
  const half = width / 2 / time;
  return (Math.exp(-centre / time) * Math.sinh(Math.min(half, 300))) / half;
}

/** The covariance of the bins' means: wandering averaged over each bin, and what neighbours do not share. */
function covariance(
  bins: readonly Bin[],
  scatter: number,
  { deviation, memory }: { deviation: number; memory: number },
): Matrix {
  const square = deviation * deviation;
  return bins.map((bin, i) =>
    Float64Array.from({ length: i + 1 }, (_, j) => {
      const other = bins[j] as Bin;
      const a = bin.width / memory;
      if (i === j) return (2 * square * (1 - -Math.expm1(-a) / a)) / a + scatter / bin.count + 0.0025;
      const b = other.width / memory;
      const apart = Math.max(0, Math.abs(bin.centre - other.centre) / memory - (a + b) / 2);
      return (square * Math.exp(-apart) * Math.expm1(-a) * Math.expm1(-b)) / (a * b);
    }),
  );
}

function dot(a: Float64Array, b: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < a.length; i += 1) sum += (a[i] as number) * (b[i] as number);
  return sum;
}

/** Four linear unknowns with a normal prior: their posterior, and how well the cell explains the readings. */
function solvedCell(
  products: number[][],
  right: number[],
  { centre, weight }: Prior,
): Omit<Cell, "quickTime" | "slowTime"> | undefined {
  for (let a = 0; a < 4; a += 1) {
    const row = products[a] as number[];
    row[a] = (row[a] as number) + (weight[a] as number);
    right[a] = (right[a] as number) + (weight[a] as number) * (centre[a] as number);
  }
  const lower = choleskyOf(products);
  if (lower === undefined) return undefined;
  const z = forwardSolution(lower, right);
  const solution = z.slice();
  for (let a = 3; a >= 0; a -= 1) {
    let sum = solution[a] as number;
    for (let b = a + 1; b < 4; b += 1) sum -= (lower[b]?.[a] as number) * (solution[b] as number);
    solution[a] = sum / (lower[a]?.[a] as number);
  }
  const spread = forwardSolution(lower, [1, 0, 0, 0]);
  const logDeterminant = lower.reduce((sum, row, at) => sum + Math.log(row[at] as number), 0);
  return {
    logWeight: -logDeterminant + 0.5 * dot(z, z),
    mean: solution[0] as number,
    deviation: Math.sqrt(dot(spread, spread)),
    slow: solution[2] as number,
  };
}

function forecastOf(cells: readonly Cell[], last: number): LevelForecast | undefined {
  const best = cells.reduce((most, cell) => Math.max(most, cell.logWeight), Number.NEGATIVE_INFINITY);
  const weighted = cells
    .map((cell) => ({ ...cell, weight: Math.exp(cell.logWeight - best) }))
    .filter(({ weight }) => weight > 1e-6);
  const total = weighted.reduce((sum, { weight }) => sum + weight, 0);
  if (!(total > 0)) return undefined;
  const meanOf = (value: (cell: Cell) => number): number =>
    weighted.reduce((sum, cell) => sum + cell.weight * value(cell), 0) / total;
  const level = meanOf((cell) => cell.mean);
  const low = normalMixtureQuantile(weighted, 0.025);
  const high = normalMixtureQuantile(weighted, 0.975);
  if (low === undefined || high === undefined) return undefined;
  const settled = weighted
    .map((cell) => ({ weight: cell.weight / total, x: cell.slowTime * Math.log(Math.max(1, cell.slow)) }))
    .sort((a, b) => a.x - b.x);
  return {
    level,
    low: level - (level - low) * widening,
    high: level + (high - level) * widening,
    remainder: meanOf((cell) => Math.max(0, cell.slow) * Math.exp(-last / cell.slowTime)),
    settledMid: quantileOf(settled, 0.5),
    settledLate: quantileOf(settled, 0.9),
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
