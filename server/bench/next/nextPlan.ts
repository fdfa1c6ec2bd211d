import { furthestFrom } from "../limit/attemptBounds.ts";
import type { LimitDraws } from "../limit/limitReach.ts";
import type { Setting } from "../things/setting.ts";
import type { PlannedAttempt } from "./nextAnswer.ts";
import type { NextDesk } from "./nextDesk.ts";
import { type TrialForecast, trialMinutes } from "./trialForecast.ts";

/** Picks the attempt that tells most from a desk and what is believed; null where none is left. */
export type TrialChooser<Trial extends TrialForecast> = (desk: NextDesk, draws: LimitDraws) => Trial | null;

export const longestPlan = 6;

/** With a time to spend: the first attempt and those that would follow if each passes, until the time is used up or the search would be over. */
export function planFrom(
  desk: NextDesk,
  draws: LimitDraws,
  first: TrialForecast,
  choice: TrialChooser<TrialForecast>,
): PlannedAttempt[] | null {
  let left = desk.question.minutes ?? null;
  if (left === null) return null;
  const plan: PlannedAttempt[] = [];
  let believed = draws;
  for (let trial: TrialForecast | null = first; trial !== null && plan.length < longestPlan; ) {
    const { clockMhz, voltageMv, minutes, expectedMinutes, chanceOfPass } = trial;
    const takes = desk.costs.setupMinutes + minutes;
    if (plan.length > 0 && takes > left) break;
    plan.push({ clockMhz, voltageMv, durationS: 60 * minutes, expectedMinutes, chanceOfPass });
    left -= takes;
    if (left < desk.costs.setupMinutes + trialMinutes[0]) break;
    believed = afterPass(believed, trial);
    trial = choice(withPass(desk, trial, left), believed);
  }
  return plan;
}

/** The draws as they would weigh once the attempt has passed. */
function afterPass(draws: LimitDraws, trial: TrialForecast): LimitDraws {
  const passed = trial.ends[trial.ends.length - 1]!;
  const weights = draws.weights.map((weight, k) => weight * passed[k]!);
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  return total > 0 ? { ...draws, weights: weights.map((weight) => weight / total) } : draws;
}

/** What a pass would open up: as many steps again, and less time. */
function withPass(desk: NextDesk, { clockMhz }: Setting, minutes: number): NextDesk {
  const reached = furthestFrom(clockMhz, desk.question.chip);
  const highestMhz = Math.max(desk.bounds.highestMhz ?? reached, reached);
  return { ...desk, question: { ...desk.question, minutes }, bounds: { ...desk.bounds, highestMhz } };
}
