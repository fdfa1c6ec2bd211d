import { weightedQuantilesOf } from "../../numerics/weightedQuantiles.ts";
import { hasFailed } from "../limit/limitFit.ts";
import { clocksAtHazard, type LimitDraws } from "../limit/limitReach.ts";
import type { ClockSteps } from "../things/clockSteps.ts";
import type { BenchCosts } from "./benchCosts.ts";
import { isLongShot, type TrialForecast, trialForecastsOf } from "./trialForecast.ts";

/** How surely the limit is known at one voltage: 90 % interval; and what counts of it, as far as heat lets it be an answer. */
export type MapPoint = Readonly<{
  voltageMv: number;
  /** For each draw, no higher than heat allows; mean and variance are of these. */
  clocks: Float64Array;
  lowMhz: number;
  /** Reached with a chance of four in five. */
  likelyMhz: number;
  highMhz: number;
  meanMhz: number;
  variance: number;
  known: boolean;
  /** Heat likely sets the end there before the clock does. */
  endsByHeat: boolean;
}>;

/** No chip follows the model to the last clockWords: the band of a map allows this share of the clock either way. */
const misfitShare = 0.0006;

/** For the band, for what is nearly sure, for what a map tells, and for the middle. */
const quantiles = [0.05, 0.1, 0.2, 0.5, 0.95] as const;

/** A voltage is known once the middle lies above what is nearly sure by no more than so many steps, or this share of the clock. */
const knownSteps = 1.75;
const knownShare = 0.0075;

export type MapTerms = Readonly<{
  hazard: number;
  stepMhz: number;
  /** The highest clock that heat lets be an answer at a voltage; Infinity where it sets no end. */
  mostByHeatMhz: (voltageMv: number) => number;
}>;

export function mapPointsOf(
  draws: LimitDraws,
  voltagesMv: readonly number[],
  { hazard, stepMhz, mostByHeatMhz }: MapTerms,
): MapPoint[] {
  return voltagesMv.map((voltageMv) => {
    const limits = clocksAtHazard(draws, voltageMv, hazard);
    const mostMhz = mostByHeatMhz(voltageMv);
    const clocks = limits.map((clockMhz) => Math.min(clockMhz, mostMhz));
    const [low, sure, likelyMhz, middle, high] = weightedQuantilesOf(limits, draws.weights, quantiles) as [
      number,
      number,
      number,
      number,
      number,
    ];
    const lowMhz = low * (1 - misfitShare);
    const highMhz = high * (1 + misfitShare);
    let meanMhz = 0;
    for (let k = 0; k < draws.count; k++) meanMhz += draws.weights[k]! * clocks[k]!;
    let variance = 0;
    for (let k = 0; k < draws.count; k++) variance += draws.weights[k]! * (clocks[k]! - meanMhz) ** 2;
    const open = Math.min(middle, mostMhz) - Math.min(sure, mostMhz);
    const endsByHeat = mostMhz < middle;
    const hasEnd = hasFailed(draws.fit) || endsByHeat;
    const known = hasEnd && open <= Math.max(knownSteps * stepMhz, knownShare * middle);
    return { voltageMv, clocks, lowMhz, likelyMhz, highMhz, meanMhz, variance, known, endsByHeat };
  });
}

export type MapChoice = Readonly<{
  /** Where an attempt may be made: the voltages of the map, as far as they are in reach yet. */
  inReach: readonly MapPoint[];
  steps: ClockSteps;
  highestMhz: number;
  durations: readonly number[];
  costs: BenchCosts;
  refuses: (setting: Readonly<{ clockMhz: number; voltageMv: number }>) => boolean;
}>;

const mostClocks = 14;
/** A known voltage still counts this much. */
const weightOfKnown = 0.2;
/** Clearer than a third of the usual step is of no use, in MHz per MHz of step. */
const toleranceInSteps = 0.32;

/** An attempt that narrows the map by less than this, in half logarithms of variance per minute, is not worth bench time. */
export const worthwhileNarrowing = 0.0045;

export type MapTrial = TrialForecast & Readonly<{ narrowingPerMinute: number }>;

/** The attempt that narrows the whole map most per minute it costs, a crash costing its aversion too. */
export function bestMapTrialOf(
  points: readonly MapPoint[],
  draws: LimitDraws,
  choice: MapChoice,
): MapTrial | null {
  const floor = (toleranceInSteps * choice.steps.stepMhz) ** 2;
  let best: MapTrial | null = null;
  for (const point of choice.inReach)
    for (const clockMhz of clocksWorthTrying(point, choice)) {
      const setting = { clockMhz, voltageMv: point.voltageMv };
      if (choice.refuses(setting)) continue;
      for (const trial of trialForecastsOf(draws, setting, choice.durations, choice.costs)) {
        if (isLongShot(trial)) continue;
        const minutes = trial.expectedMinutes + choice.costs.aversionMinutes * (1 - trial.chanceOfPass);
        const narrowingPerMinute = narrowingOf(trial, points, draws.weights, floor) / minutes;
        if (best === null || narrowingPerMinute > best.narrowingPerMinute)
          best = { ...trial, narrowingPerMinute };
      }
    }
  return best;
}

function clocksWorthTrying(point: MapPoint, { steps, highestMhz }: MapChoice): number[] {
  const { rungOf, clockAt, stepMhz, first } = steps;
  const high = Math.min(rungOf(highestMhz), rungOf(point.highMhz + 2.4 * stepMhz) + 1);
  const low = Math.max(first, Math.min(high, rungOf(point.lowMhz - 1.2 * stepMhz)));
  const stride = Math.max(1, Math.ceil((high - low) / mostClocks));
  const clocks: number[] = [];
  for (let rung = high; rung >= low; rung -= stride) clocks.push(clockAt(rung));
  return clocks;
}

/** The expected narrowing over all voltages, in units of half the logarithm of variance. */
function narrowingOf(
  trial: TrialForecast,
  points: readonly MapPoint[],
  weights: Float64Array,
  floor: number,
): number {
  let sum = 0;
  for (const { clocks, meanMhz, variance, known } of points) {
    let after = 0;
    for (const end of trial.ends) {
      let mass = 0;
      let first = 0;
      let second = 0;
      for (let k = 0; k < clocks.length; k++) {
        const chance = weights[k]! * end[k]!;
        const off = clocks[k]! - meanMhz;
        mass += chance;
        first += chance * off;
        second += chance * off * off;
      }
      if (mass > 1e-9) after += second - (first * first) / mass;
    }
    const gain = Math.log((variance + floor) / (Math.max(0, after) + floor)) / 2;
    sum += (known ? weightOfKnown : 1) * gain;
  }
  return sum;
}
