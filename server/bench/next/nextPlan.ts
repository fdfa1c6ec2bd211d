import { furthestFrom } from "../limit/attemptBounds.ts";
import type { LimitDraws } from "../limit/limitReach.ts";
import type { Setting } from "../things/setting.ts";
import type { PlannedAttempt } from "./nextAnswer.ts";
import type { NextDesk } from "./nextDesk.ts";
import { type TrialForecast, trialMinutes } from "./trialForecast.ts";

/** Picks the attempt that tells most from a desk and what is believed; null where none is left. */
export type TrialChooser<Trial extends TrialForecast> = (desk: NextDesk, draws: LimitDraws) => Trial | null;

export const longestPlan = 6;

/** How a plan goes on, and what proves the answer once the search would be over; each null where there is nothing. */
export type PlanSteps = Readonly<{
  next: TrialChooser<TrialForecast>;
  proof: TrialChooser<TrialForecast>;
}>;

/** With a time to spend: the first attempt and those that would follow if each passes, until the time is used up or the search would be over. */
export function planFrom(
  desk: NextDesk,
  draws: LimitDraws,
  first: TrialForecast,
  { next, proof }: PlanSteps,
): PlannedAttempt[] | null {
  let left = desk.question.minutes ?? null;
  if (left === null) return null;
  const plan: PlannedAttempt[] = [];
  const add = ({ clockMhz, voltageMv, minutes, expectedMinutes, chanceOfPass }: TrialForecast): number =>
    plan.push({ clockMhz, voltageMv, durationS: 60 * minutes, expectedMinutes, chanceOfPass });
  let [at, believed] = [desk, draws];
  for (let trial: TrialForecast | null = first; trial !== null && plan.length < longestPlan; ) {
    const takes = desk.costs.setupMinutes + trial.minutes;
    if (plan.length > 0 && takes > left) return plan;
    add(trial);
    left -= takes;
    if (left < desk.costs.setupMinutes + trialMinutes[0]) return plan;
    believed = afterPass(believed, trial);
    at = withPass(at, trial, left);
    trial = next(at, believed);
  }
  const last = plan.length < longestPlan ? proof(at, believed) : null;
  const fits = last !== null && desk.costs.setupMinutes + last.minutes <= left;
  if (fits && !plan.some((one) => isAsHardAndLong(one, last))) add(last);
  return plan;
}

const isAsHardAndLong = (one: PlannedAttempt, { clockMhz, voltageMv, minutes }: TrialForecast): boolean =>
  one.durationS >= 60 * minutes && one.clockMhz >= clockMhz && one.voltageMv <= voltageMv;

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
