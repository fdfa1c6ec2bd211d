import type { LimitDraws } from "../limit/limitReach.ts";
import type { Setting } from "../things/setting.ts";
import type { BenchCosts } from "./benchCosts.ts";
import type { Ladder } from "./ladder.ts";
import { trialForecastsOf } from "./trialForecast.ts";

/** A run of hours at a setting that has run already, while nobody needs the machine: it would bring the answer nearer. */
export type LeaveRunningFound = Setting &
  Readonly<{ durationS: number; chanceOfPass: number; rungsGained: number }>;

const leftMinutes = 480;
/** A rung beyond the limit is as bad as so many short of it. */
const lossBeyond = 9;
/** A run that likely fails is not left alone. */
const leastChance = 0.3;

/** The rung among those given whose eight hours would save most of the expected loss; null where none would save any. */
export function leaveRunningOf(
  ladder: Ladder,
  draws: LimitDraws,
  rungs: readonly number[],
  costs: BenchCosts,
): LeaveRunningFound | null {
  const last = ladder.lastAcceptable(draws);
  const before = leastLoss(last, draws.weights);
  let best: LeaveRunningFound | null = null;
  for (const rung of rungs) {
    const setting = ladder.settingAt(rung);
    const [trial] = trialForecastsOf(draws, setting, [leftMinutes], costs);
    if (trial === undefined || trial.chanceOfPass < leastChance) continue;
    const after = trial.ends.reduce(
      (sum, end) =>
        sum +
        leastLoss(
          last,
          draws.weights.map((weight, k) => weight * end[k]!),
        ),
      0,
    );
    const rungsGained = before - after;
    if (rungsGained > (best?.rungsGained ?? 0))
      best = { ...setting, durationS: 60 * leftMinutes, chanceOfPass: trial.chanceOfPass, rungsGained };
  }
  return best;
}

/** The loss of the best answer to be had, times the weight: one a rung short of the limit, nine a rung beyond. */
function leastLoss(last: Float64Array, weights: Float64Array): number {
  const answer = lowQuantile(last, weights);
  let loss = 0;
  for (let k = 0; k < last.length; k++) {
    const short = last[k]! - answer;
    if (Math.abs(short) < Infinity) loss += weights[k]! * (short >= 0 ? short : -lossBeyond * short);
  }
  return loss;
}

function lowQuantile(last: Float64Array, weights: Float64Array): number {
  const order = Array.from(last.keys())
    .filter((k) => Math.abs(last[k]!) < Infinity)
    .sort((a, b) => last[a]! - last[b]!);
  const total = order.reduce((sum, k) => sum + weights[k]!, 0);
  let passed = 0;
  for (const k of order) {
    passed += weights[k]!;
    if (passed >= total / (1 + lossBeyond)) return last[k]!;
  }
  return 0;
}
