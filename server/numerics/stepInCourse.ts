import { choleskyOf, choleskySolution, forwardSolution } from "./cholesky.ts";
import { type ForecastBin, forecastBinsOf } from "./forecastBins.ts";
import { decayOver, type Whitened, whitenedBy } from "./forecastCells.ts";
import type { OtherEnd } from "./levelForecast.ts";

export type CourseStep = Readonly<{
  /** Where the course bends, and by how much it ends higher than it would have. */
  x: number;
  size: number;
  /** The logarithm of how much likelier the readings are with a step than with none. */
  evidence: number;
  /** Where the course ends if there was a step; the weights sum to one. */
  ends: readonly OtherEnd[];
}>;

const quickTimes = [6.5, 10, 15.5];
const slowTimes = Array.from({ length: 13 }, (_, at) => 60 * 1.3 ** at);
const wanderings = [0.18, 0.45].map((deviation) => ({
  deviation,
  memory: 16,
  logPrior: -0.5 * ((deviation - 0.3) / 0.3) ** 2,
}));
const driftSpan = 900;
const stepPlaces = 12;
/** How large a step is expected to be, one standard deviation. */
const stepDeviation = 5;
/** The share of a step that comes at the quick time: none where the cooling changed, half where the heat did. */
const quickShares = [0, 0.5];

/**
 * Whether readings that should follow one curve with two time constants bend off it; undefined for fewer than twelve bins.
 * x counts seconds from the start of the rise, in order; `scatter` is the variance that neighbours do not share. Method: a
 * grid over time constants, wandering (an Ornstein-Uhlenbeck process) and the place of a step; the linear part solved in
 * each cell with and without it; the evidence is the ratio of the two sums (a Bayes factor). Cost: some 1,000 forward
 * solutions of at most 60 bins.
 */
export function stepInCourse(
  x: ArrayLike<number>,
  y: ArrayLike<number>,
  scatter: number,
): CourseStep | undefined {
  const bins = forecastBinsOf(x, y);
  if (bins.length < 12) return undefined;
  const places = placesIn(bins);
  const white = wanderings.flatMap((one) => whitenedBy(one, bins, scatter, driftSpan) ?? []);
  const grids = [{ quick: quickTimes, slow: slowTimes }, gridAbout(likeliest(white, bins))];
  const found = grids.flatMap((grid) =>
    white.flatMap((one) => grid.slow.flatMap((slow) => cellsOf(one, bins, slow, grid.quick, places))),
  );
  const plain = logSum(found.map(({ logPlain }) => logPlain));
  const stepped = logSum(found.flatMap((cell) => cell.stepped.map(({ logWeight }) => logWeight)));
  const best = found
    .flatMap((cell) => cell.stepped)
    .reduce((most, next) => (next.logWeight > most.logWeight ? next : most));
  const ends = found
    .flatMap((cell) => cell.stepped)
    .map(({ mean, deviation, logWeight }) => ({ mean, deviation, weight: Math.exp(logWeight - stepped) }))
    .filter(({ weight }) => weight > 1e-4);
  const evidence = stepped - Math.log(places.length * quickShares.length) - plain;
  return { x: best.x, size: best.size, evidence, ends };
}

type Times = Readonly<{ quick: number; slow: number }>;

/** The grid's own times at which one curve fits best. */
function likeliest(white: readonly Whitened[], bins: readonly ForecastBin[]): Times {
  const tried = white.flatMap((one) =>
    slowTimes.flatMap((slow) =>
      cellsOf(one, bins, slow, quickTimes, []).map(({ logPlain }, at) => ({
        logPlain,
        slow,
        quick: quickTimes[at] as number,
      })),
    ),
  );
  return tried.reduce((most, next) => (next.logPlain > most.logPlain ? next : most));
}

/** Quiet readings tell times between those of the grid, and would take the misfit for a step. */
const gridAbout = ({ quick, slow }: Times) => ({
  quick: spread(quick, 1.55, 5),
  slow: spread(slow, 1.3, 7),
});

const spread = (time: number, reach: number, count: number): readonly number[] =>
  Array.from({ length: count }, (_, at) => time * reach ** ((2 * at) / (count - 1) - 1));

/** Neither in the quick part, where the start itself bends, nor so late that nothing follows. */
function placesIn(bins: readonly ForecastBin[]): readonly number[] {
  const last = bins[bins.length - 1]?.centre ?? 0;
  const from = Math.max(90, 0.15 * last);
  return Array.from({ length: stepPlaces }, (_, i) => from + ((last - 30 - from) * i) / (stepPlaces - 1));
}

type Stepped = Readonly<{ x: number; size: number; mean: number; deviation: number; logWeight: number }>;
type Cell = Readonly<{ logPlain: number; stepped: readonly Stepped[] }>;

/** The cells of one wandering and one slow time: what a step shares with drift, slow part and level is summed once. */
function cellsOf(
  white: Whitened,
  bins: readonly ForecastBin[],
  slowTime: number,
  quickTimes: readonly number[],
  places: readonly number[],
): readonly Cell[] {
  const solved = (values: Float64Array): Float64Array => forwardSolution(white.lower, values);
  const slow = solved(decayOver(bins, slowTime));
  const steps = places.flatMap((place) =>
    quickShares.map((share) => {
      const values = solved(stepOver(bins, place, slowTime, share));
      const shared = [dot(white.drift, values), 0, dot(slow, values), dot(white.level, values)];
      return { place, values, shared, square: dot(values, values), byReadings: dot(values, white.readings) };
    }),
  );
  return quickTimes.map((quickTime) => {
    const quick = solved(decayOver(bins, quickTime));
    const { factor, solution, logWeight } = plainFit(white, [white.drift, quick, slow, white.level], bins);
    const levelVariance = 1 / (factor[3]?.[3] ?? 1) ** 2;
    const stepped = steps.map(({ place, values, shared, square, byReadings }): Stepped => {
      const by = [shared[0] as number, dot(quick, values), shared[2] as number, shared[3] as number];
      const through = choleskySolution(factor, by);
      const precision = square - inner(by, through) + 1 / stepDeviation ** 2;
      const pull = byReadings - inner(by, solution);
      const size = pull / precision;
      const lasting = 1 - (through[3] as number);
      return {
        x: place,
        size,
        mean: (solution[3] as number) + lasting * size,
        deviation: Math.sqrt(levelVariance + lasting ** 2 / precision),
        logWeight: logWeight + 0.5 * pull * size - 0.5 * Math.log(stepDeviation ** 2 * precision),
      };
    });
    return { logPlain: logWeight, stepped };
  });
}

/** For drift, quick amplitude, slow amplitude and level, as loosely as a first look allows. */
function plainFit(white: Whitened, columns: readonly Float64Array[], bins: readonly ForecastBin[]) {
  const last = bins[bins.length - 1]?.mean ?? 0;
  const rise = Math.max(last - (bins[0]?.mean ?? 0), 5);
  const centre = [0, rise * 0.55, rise * 0.5, last + 4];
  const weight = [1 / 0.2 ** 2, 1 / (rise * 0.4) ** 2, 1 / (rise * 0.35) ** 2, 1 / 49];
  const normal = columns.map((a, i) =>
    Float64Array.from(columns, (b, j) => (j > i ? 0 : dot(a, b) + (i === j ? (weight[i] as number) : 0))),
  );
  const factor = choleskyOf(normal) ?? [];
  const right = columns.map(
    (column, i) => dot(column, white.readings) + (weight[i] as number) * (centre[i] as number),
  );
  const solution = choleskySolution(factor, right);
  const logDeterminant = factor.reduce((sum, row, i) => sum + Math.log(row[i] as number), 0);
  return { factor, solution, logWeight: white.base + 0.5 * inner(right, solution) - logDeterminant };
}

const inner = (a: ArrayLike<number>, b: ArrayLike<number>): number =>
  (a[0] as number) * (b[0] as number) +
  (a[1] as number) * (b[1] as number) +
  (a[2] as number) * (b[2] as number) +
  (a[3] as number) * (b[3] as number);

/** The mean over each bin of a step's answer: nothing before it, then as quickly and as slowly as the course itself. */
function stepOver(
  bins: readonly ForecastBin[],
  place: number,
  slowTime: number,
  quickShare: number,
): Float64Array {
  return Float64Array.from(bins, ({ centre, width }) => {
    const since = Math.max(0, centre + width / 2 - place);
    const part = Math.min(1, since / width);
    const middle = since > width ? centre - place : since / 2;
    return part * (quickShare - (1 - quickShare) * Math.expm1(-middle / slowTime));
  });
}

function logSum(logs: readonly number[]): number {
  const most = logs.reduce((best, next) => Math.max(best, next), Number.NEGATIVE_INFINITY);
  return most + Math.log(logs.reduce((sum, next) => sum + Math.exp(next - most), 0));
}

function dot(a: Float64Array, b: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < a.length; i += 1) sum += (a[i] as number) * (b[i] as number);
  return sum;
}
