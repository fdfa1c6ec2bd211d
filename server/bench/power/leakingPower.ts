import { choleskyOf, choleskySolution, inverseFromCholesky } from "../../numerics/cholesky.ts";
import { mean } from "../../numerics/moments.ts";
import { normalMixtureQuantile } from "../../numerics/normalMixture.ts";
import { seededRandom } from "../../numerics/seededRandom.ts";

/** One reading of power: at the voltage that arrived, the clock it ran at, and the chip's temperature where it was read. */
export type PowerReading = Readonly<{
  volts: number;
  clockMhz: number;
  tempC: number | null;
  powerW: number;
}>;

/**
 * Power = switched V^2 f + leak V e^(perVolt (V - V0) + perC (T - T0)) + rest: what a chip charges and discharges, what
 * leaks through it, more at a higher voltage and warmer, and what else hangs on the same meter.
 */
export type LeakingPower = Readonly<{
  switched: number;
  leakW: number;
  perVolt: number;
  perC: number;
  restW: number;
}>;

/** Where leaks are measured from: the mean voltage and temperature of the readings. */
export type PowerReference = Readonly<{ volts: number; tempC: number }>;

export type PowerDraws = Readonly<{
  draws: readonly LeakingPower[];
  reference: PowerReference;
  /** The scatter of one reading as a share of itself, and how far one may lie off, 95 %. */
  scatterShare: number;
  readingDoubt: number;
  /** How much less is known of the share that leaks than before any reading: 1 for nothing learnt, 0 for all. */
  leakLeftOpen: number;
}>;

/** Leakage grows e-fold over a third of a volt, give or take, and by 0.7 % a degree (the ranges are common practice). */
const perVoltPrior = { mean: 3, sd: 0.6 };
const perCPrior = { mean: 0.007, sd: 0.0018 };
/** A fifth of a loaded chip's power leaks, give or take; readings scatter by a hundredth of themselves, or three times less or more. */
const leakSharePrior = { mean: 0.2, sd: 0.08 };
const switchedShareSd = 0.35;
const logReadingShare = { mean: Math.log(0.01), sd: 0.6 };
/** What else a wall meter sees, as a share of what it shows. */
const restSharePrior = { mean: 0.3, sd: 0.15 };
/** Without a reading of it a chip is taken to warm by so much from nothing to its mean power. */
const usualRiseC = 45;
const usualTempC = 65;

/** Points of a normal, each standing for its stretch. */
const pointsOf = (...zs: readonly number[]) => zs.map((z) => ({ z, logWeight: (-z * z) / 2 }));
const fivePoints = pointsOf(-1.8, -0.9, 0, 0.9, 1.8);
const threePoints = pointsOf(-1.2, 0, 1.2);

/**
 * Draws of what readings at one place leave open, given what is known of such chips; null without a reading. Method: a
 * grid over how leakage grows and how far readings scatter, at each point a linear regression with a normal prior (Gelman
 * et al., Bayesian Data Analysis, chapter 14), negative parts refused. Cost: 15 passes over the readings.
 */
export function leakingPowerOf(
  readings: readonly PowerReading[],
  { hasRest, count }: Readonly<{ hasRest: boolean; count: number }>,
): PowerDraws | null {
  if (readings.length === 0) return null;
  const warm = withTemperatures(readings);
  const reference = {
    volts: mean(warm.map(({ volts }) => volts))!,
    tempC: mean(warm.map(({ tempC }) => tempC))!,
  };
  const meanW = mean(readings.map(({ powerW }) => powerW))!;
  const shapes = fivePoints.flatMap((byVolt) =>
    threePoints.flatMap((byC) => {
      const perVolt = perVoltPrior.mean + byVolt.z * perVoltPrior.sd;
      const perC = perCPrior.mean + byC.z * perCPrior.sd;
      const sums = sumsOver(warm, { perVolt, perC }, reference, hasRest ? 3 : 2);
      return fivePoints.map((byScatter) => {
        const scatterShare = Math.exp(logReadingShare.mean + byScatter.z * logReadingShare.sd);
        const fit = regressed(sums, meanW, scatterShare);
        const logWeight = byVolt.logWeight + byC.logWeight + byScatter.logWeight + fit.logEvidence;
        return { perVolt, perC, scatterShare, fit, logWeight };
      });
    }),
  );
  const best = Math.max(...shapes.map(({ logWeight }) => logWeight));
  const weights = shapes.map(({ logWeight }) => Math.exp(logWeight - best));
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  const random = seededRandom(1);
  const draws: LeakingPower[] = [];
  for (const [i, { perVolt, perC, fit }] of shapes.entries()) {
    const wanted = Math.round((count * weights[i]!) / total);
    for (let tries = 0, kept = 0; kept < wanted && tries < 20 * wanted; tries++) {
      const [switched, leakW, restW = 0] = fit.drawn(random);
      if (switched! < 0 || leakW! < 0 || restW < 0) continue;
      draws.push({ switched: switched!, leakW: leakW!, restW, perVolt, perC });
      kept += 1;
    }
  }
  if (draws.length === 0) return null;
  const scatterShare = shapes.reduce((sum, one, i) => sum + (weights[i]! / total) * one.scatterShare, 0);
  const leaks = draws.map(({ leakW }) => (leakW * reference.volts) / meanW);
  return {
    draws,
    reference,
    scatterShare,
    readingDoubt: doubtOf(shapes.map((one, i) => ({ weight: weights[i]!, share: one.scatterShare }))),
    leakLeftOpen: deviationOf(leaks) / leakSharePrior.sd,
  };
}

/** Half of what holds 95 % of readings whose scatter is known only so well. */
const doubtOf = (scatters: readonly Readonly<{ weight: number; share: number }>[]): number =>
  normalMixtureQuantile(
    scatters.map(({ weight, share }) => ({ weight, mean: 0, deviation: share })),
    0.975,
  ) ?? Number.NaN;

export const wattsOf = (
  power: LeakingPower,
  at: Readonly<{ volts: number; clockMhz: number; tempC: number }>,
  reference: PowerReference,
): number => power.switched * at.volts ** 2 * at.clockMhz + leakOf(power, at, reference) + power.restW;

/** The part that is there without any clock. */
export const leakOf = (
  { leakW, perVolt, perC }: Pick<LeakingPower, "leakW" | "perVolt" | "perC">,
  { volts, tempC }: PowerReference,
  reference: PowerReference,
): number => leakW * volts * Math.exp(perVolt * (volts - reference.volts) + perC * (tempC - reference.tempC));

type WarmReading = PowerReading & Readonly<{ tempC: number }>;

/** A temperature that was not read is taken from the power: it rises with it. */
function withTemperatures(readings: readonly PowerReading[]): WarmReading[] {
  const meanW = mean(readings.map(({ powerW }) => powerW))!;
  const read = readings.filter(({ tempC }) => tempC !== null);
  const meanC = mean(read.map(({ tempC }) => tempC!)) ?? usualTempC;
  const meanReadW = mean(read.map(({ powerW }) => powerW)) ?? meanW;
  return readings.map((reading) => ({
    ...reading,
    tempC: reading.tempC ?? meanC + (usualRiseC * (reading.powerW - meanReadW)) / meanW,
  }));
}

type Regressed = Readonly<{
  logEvidence: number;
  drawn: (random: ReturnType<typeof seededRandom>) => Float64Array;
}>;

/** Of what a watt is made: what switches, what leaks and what rests, each summed over readings that count by their inverse square. */
type Sums = Readonly<{
  count: number;
  means: Float64Array;
  squares: readonly Float64Array[];
  right: Float64Array;
}>;

function sumsOver(
  readings: readonly WarmReading[],
  growth: Readonly<{ perVolt: number; perC: number }>,
  reference: PowerReference,
  size: 2 | 3,
): Sums {
  const means = new Float64Array(size);
  const squares = Array.from({ length: size }, () => new Float64Array(size));
  const right = new Float64Array(size);
  const parts = new Float64Array(size).fill(1);
  for (const reading of readings) {
    const { volts, clockMhz, powerW } = reading;
    parts[0] = volts ** 2 * clockMhz;
    parts[1] = leakOf({ leakW: 1, ...growth }, reading, reference);
    for (let i = 0; i < size; i++) {
      const part = parts[i]!;
      means[i]! += part / readings.length;
      right[i]! += part / powerW;
      for (let j = 0; j < size; j++) squares[i]![j]! += (part * parts[j]!) / powerW ** 2;
    }
  }
  return { count: readings.length, means, squares, right };
}

function regressed(sums: Sums, meanW: number, scatterShare: number): Regressed {
  const size = sums.means.length;
  const shares =
    size === 3
      ? [1 - leakSharePrior.mean - restSharePrior.mean, leakSharePrior.mean, restSharePrior.mean]
      : [1 - leakSharePrior.mean, leakSharePrior.mean];
  const spreads = [switchedShareSd, leakSharePrior.sd, restSharePrior.sd];
  const weight = scatterShare ** -2;
  const precision = sums.squares.map((row) => row.map((sum) => weight * sum));
  const right = sums.right.map((sum) => weight * sum);
  let squares = weight * sums.count;
  let logEvidence = -sums.count * Math.log(scatterShare);
  for (let i = 0; i < size; i++) {
    const perShare = meanW / sums.means[i]!;
    const own = (spreads[i]! * perShare) ** -2;
    const middle = shares[i]! * perShare;
    precision[i]![i]! += own;
    right[i]! += own * middle;
    squares += own * middle ** 2;
    logEvidence += Math.log(own) / 2;
  }
  const lower = choleskyOf(precision)!;
  const coefficients = choleskySolution(lower, right);
  for (let i = 0; i < size; i++) {
    squares -= coefficients[i]! * right[i]!;
    logEvidence -= Math.log(lower[i]![i]!);
  }
  const spread = choleskyOf(inverseFromCholesky(lower))!;
  return {
    logEvidence: logEvidence - squares / 2,
    drawn: (random) => {
      const normals = Float64Array.from({ length: size }, random.normal);
      return coefficients.map(
        (value, i) => value + spread[i]!.reduce((sum, part, j) => sum + part * normals[j]!, 0),
      );
    },
  };
}

function deviationOf(values: readonly number[]): number {
  const middle = mean(values)!;
  return Math.sqrt(values.reduce((sum, value) => sum + (value - middle) ** 2, 0) / values.length);
}
