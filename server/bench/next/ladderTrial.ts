import type { LimitDraws } from "../limit/limitReach.ts";
import type { BenchCosts } from "./benchCosts.ts";
import type { Ladder } from "./ladder.ts";
import { isLongShot, type TrialForecast, trialForecastsOf } from "./trialForecast.ts";

/** With an answer in hand, an attempt that tells less than this about it, in nats per minute, is not worth bench time. */
export const worthwhilePerMinute = 0.0025;

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
  const rungs = rungsWorthTrying(last, ladder);
  const { bins, count } = answerBins(last);
  const before = entropyOf(chancesOf(bins, count, draws.weights));
  let best: RatedTrial | null = null;
  for (const rung of rungs) {
    const setting = ladder.settingAt(rung);
    if (choice.refuses(setting)) continue;
    for (const trial of trialForecastsOf(draws, setting, choice.durations, choice.costs)) {
      if (isLongShot(trial)) continue;
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
function rungsWorthTrying(last: Float64Array, { easiest, hardest }: Ladder): number[] {
  const sorted = last.filter((rung) => Math.abs(rung) < Infinity).sort();
  if (sorted.length === 0) return [hardest].filter((rung) => rung >= easiest);
  const likely = (share: number): number => sorted[Math.floor(share * (sorted.length - 1))]!;
  const highest = Math.min(hardest, likely(0.995) + 3);
  const lowest = Math.max(easiest, Math.min(highest, likely(0.005) - 1));
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
