import type { BenchCosts } from "./benchCosts.ts";
import type { LimitDraws } from "./limitReach.ts";
import { type TrialForecast, trialForecastsOf } from "./trialForecast.ts";

/**
 * Settings in one row, each harder than the one before: clocks upward at one voltage, or voltages downward at one clock.
 * The question is which is the last acceptable one.
 */
export type Ladder = Readonly<{
  /** The setting of a rung; rungs are whole numbers, and may be negative. */
  settingAt: (rung: number) => Readonly<{ clockMhz: number; voltageMv: number }>;
  /** For each draw, the highest acceptable rung. */
  lastAcceptable: (draws: LimitDraws) => Float64Array;
  /** The hardest rung that may be tried. */
  hardest: number;
}>;

/** Enough to act on: the answer is acceptable with this chance, and the next harder rung with no more than that. */
export const settledChance = 0.93;
/** So likely has the rung after the answer to be acceptable for an hour there to be offered as the proof. */
export const likelyNextChance = 0.8;
export const nextRungChance = 0.5;

/** With an answer in hand, an attempt that tells less than this about it, in nats per minute, is not worth bench time. */
export const worthwhilePerMinute = 0.0053;

export type LadderAnswer = Readonly<{
  /** The hardest rung acceptable with the chance asked; null where none in reach is. */
  rung: number | null;
  chance: number;
  /** The chance that the rung after it is acceptable too. */
  nextChance: number;
  settled: boolean;
}>;

export function ladderAnswerOf(ladder: Ladder, draws: LimitDraws): LadderAnswer {
  const last = ladder.lastAcceptable(draws);
  const chanceOf = (rung: number): number => {
    let chance = 0;
    for (let k = 0; k < draws.count; k++) if (last[k]! >= rung) chance += draws.weights[k]!;
    return Math.min(1, chance);
  };
  const finite = last.filter((rung, k) => Math.abs(rung) < Infinity && draws.weights[k]! > 0);
  if (finite.length === 0) return { rung: null, chance: 0, nextChance: 0, settled: false };
  let low = finite.reduce((least, rung) => Math.min(least, rung), Infinity) - 1;
  let high = finite.reduce((most, rung) => Math.max(most, rung), -Infinity) + 1;
  if (chanceOf(low) < settledChance)
    return { rung: null, chance: chanceOf(low), nextChance: 0, settled: false };
  while (high - low > 1) {
    const middle = Math.floor((low + high) / 2);
    if (chanceOf(middle) >= settledChance) low = middle;
    else high = middle;
  }
  const rung = Math.min(low, ladder.hardest);
  const chance = chanceOf(rung);
  const nextChance = chanceOf(rung + 1);
  return { rung, chance, nextChance, settled: nextChance <= nextRungChance };
}

export type RungChoice = Readonly<{
  durations: readonly number[];
  costs: BenchCosts;
  /** Settings that may not be proposed: passed over by the tester, or too hot. */
  refuses: (setting: Readonly<{ clockMhz: number; voltageMv: number }>) => boolean;
}>;

export type RatedTrial = TrialForecast & Readonly<{ informationPerMinute: number }>;

const mostRungs = 24;
const mostAnswers = 48;

/**
 * The attempt that tells most about the answer per minute it costs, a crash costing its aversion too. Information about
 * anything else, such as how sharp the limit is, is not worth bench time.
 */
export function bestTrialOf(ladder: Ladder, draws: LimitDraws, choice: RungChoice): RatedTrial | null {
  const last = ladder.lastAcceptable(draws);
  const rungs = rungsWorthTrying(last, ladder.hardest);
  const { bins, count } = answerBins(last);
  const before = entropyOf(chancesOf(bins, count, draws.weights));
  let best: RatedTrial | null = null;
  for (const rung of rungs) {
    const setting = ladder.settingAt(rung);
    if (choice.refuses(setting)) continue;
    for (const trial of trialForecastsOf(draws, setting, choice.durations, choice.costs)) {
      const gained = before - entropyAfter(trial, bins, count, draws.weights);
      const minutes = trial.expectedMinutes + choice.costs.aversionMinutes * (1 - trial.chanceOfPass);
      const informationPerMinute = gained / minutes;
      if (best === null || informationPerMinute > best.informationPerMinute)
        best = { ...trial, informationPerMinute };
    }
  }
  return best;
}

/** From just under the lowest likely answer to a few above the highest, at most two dozen of them. */
function rungsWorthTrying(last: Float64Array, hardest: number): number[] {
  const sorted = last.filter((rung) => Math.abs(rung) < Infinity).sort();
  if (sorted.length === 0) return [hardest];
  const likely = (share: number): number => sorted[Math.floor(share * (sorted.length - 1))]!;
  const highest = Math.min(hardest, likely(0.995) + 3);
  const lowest = Math.min(highest, likely(0.005) - 1);
  const stride = Math.max(1, Math.ceil((highest - lowest) / mostRungs));
  const rungs: number[] = [];
  for (let rung = highest; rung >= lowest; rung -= stride) rungs.push(rung);
  return rungs;
}

/** Answers far apart or very many are counted in coarser bins. */
function answerBins(last: Float64Array): { bins: Int32Array; count: number } {
  let low = Infinity;
  let high = -Infinity;
  for (const rung of last) {
    if (Math.abs(rung) === Infinity) continue;
    low = Math.min(low, rung);
    high = Math.max(high, rung);
  }
  if (low === Infinity) return { bins: new Int32Array(last.length), count: 1 };
  const stride = Math.max(1, Math.ceil((high - low + 1) / mostAnswers));
  const count = Math.floor((high - low) / stride) + 2;
  const bins = Int32Array.from(last, (rung) => (rung >= low ? Math.floor((rung - low) / stride) : count - 1));
  return { bins, count };
}

function chancesOf(bins: Int32Array, count: number, weights: Float64Array): Float64Array {
  const chances = new Float64Array(count);
  for (let k = 0; k < bins.length; k++) chances[bins[k]!]! += weights[k]!;
  return chances;
}

function entropyAfter(trial: TrialForecast, bins: Int32Array, count: number, weights: Float64Array): number {
  let expected = 0;
  for (const end of trial.ends) {
    const joint = new Float64Array(count);
    let total = 0;
    for (let k = 0; k < bins.length; k++) {
      const mass = weights[k]! * end[k]!;
      joint[bins[k]!]! += mass;
      total += mass;
    }
    if (total > 1e-12) expected += total * entropyOf(joint.map((mass) => mass / total));
  }
  return expected;
}

function entropyOf(chances: Float64Array): number {
  let sum = 0;
  for (const chance of chances) if (chance > 0) sum -= chance * Math.log(chance);
  return sum;
}

/** Clocks upward at one voltage, on a grid counted from `originMhz`. */
export function clockLadder(
  voltageMv: number,
  grid: Readonly<{ originMhz: number; stepMhz: number; highestMhz: number }>,
  acceptedClocks: (draws: LimitDraws) => Float64Array,
): Ladder {
  const { originMhz, stepMhz, highestMhz } = grid;
  const rungOf = (clockMhz: number): number => Math.floor((clockMhz - originMhz) / stepMhz + 1e-9);
  return {
    settingAt: (rung) => ({ clockMhz: toThousandths(originMhz + rung * stepMhz), voltageMv }),
    lastAcceptable: (draws) => acceptedClocks(draws).map(rungOf),
    hardest: rungOf(highestMhz),
  };
}

/** Voltages downward at one clock, on a grid counted from `originMv`: rung 0 is the highest allowed. */
export function voltageLadder(
  clockMhz: number,
  grid: Readonly<{ originMv: number; stepMv: number; highestMv: number; lowestMv: number }>,
  neededVoltages: (draws: LimitDraws) => Float64Array,
): Ladder {
  const { originMv, stepMv, highestMv, lowestMv } = grid;
  const topMv = originMv + Math.floor((highestMv - originMv) / stepMv + 1e-9) * stepMv;
  const rungOf = (voltageMv: number): number =>
    voltageMv === Infinity ? -Infinity : Math.floor((topMv - voltageMv) / stepMv + 1e-9);
  return {
    settingAt: (rung) => ({ clockMhz, voltageMv: toThousandths(topMv - rung * stepMv) }),
    lastAcceptable: (draws) => neededVoltages(draws).map(rungOf),
    hardest: rungOf(lowestMv),
  };
}

const toThousandths = (value: number): number => Math.round(value * 1000) / 1000;
