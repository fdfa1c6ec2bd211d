import { furthestFrom } from "../limit/attemptBounds.ts";
import type { LimitDraws } from "../limit/limitReach.ts";
import type { Setting } from "../things/setting.ts";
import type { PlannedAttempt, Proposal } from "./nextAnswer.ts";
import type { NextDesk } from "./nextDesk.ts";
import { type TrialForecast, trialForecastsOf, trialMinutes } from "./trialForecast.ts";

/** Picks the attempt that tells most from a desk and what is believed; null where none is left. */
export type TrialChooser<Trial extends TrialForecast> = (desk: NextDesk, draws: LimitDraws) => Trial | null;

const longestPlan = 6;

/** How a plan goes on, and what proves the answer once the search would be over; each null where there is nothing. */
export type PlanSteps = Readonly<{
  next: TrialChooser<TrialForecast>;
  proof: TrialChooser<TrialForecast>;
}>;

/**
 * With a time to spend: the first attempt, as it is proposed, and those that would follow if each passes, until the time is
 * used up or the search would be over.
 */
export function planFrom(
  desk: NextDesk,
  draws: LimitDraws,
  proposed: TrialForecast,
  { next, proof }: PlanSteps,
): Pick<Proposal, "plan" | "planEndsSearch"> {
  const { minutes } = desk.question;
  if (minutes == null) return { plan: null, planEndsSearch: false };
  let left = minutes;
  const plan: PlannedAttempt[] = [];
  const { setupMinutes } = desk.costs;
  const fits = (run: number): boolean => setupMinutes + run <= left;
  const add = (trial: TrialForecast): void => {
    const { clockMhz, voltageMv, expectedMinutes, chanceOfPass } = trial;
    plan.push({ clockMhz, voltageMv, durationS: 60 * trial.minutes, expectedMinutes, chanceOfPass });
    left -= setupMinutes + trial.minutes;
  };
  add(proposed);
  let [at, believed] = [desk, draws];
  let [trial = null]: readonly (TrialForecast | null)[] = trialForecastsOf(
    draws,
    proposed,
    [proposed.minutes],
    desk.costs,
  );
  while (trial !== null) {
    if (plan.length === longestPlan || !fits(trialMinutes[0])) return { plan, planEndsSearch: false };
    believed = afterPass(believed, trial);
    at = withPass(at, trial, left);
    trial = next(at, believed);
    if (trial === null) break;
    if (!fits(trial.minutes)) return { plan, planEndsSearch: false };
    add(trial);
  }
  if (next(withTime(at, null), believed) !== null) return { plan, planEndsSearch: false };
  const last = proof(at, believed);
  if (last !== null && fits(last.minutes) && !plan.some((one) => isAsHardAndLong(one, last))) add(last);
  return { plan, planEndsSearch: true };
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
  return { ...withTime(desk, minutes), bounds: { ...desk.bounds, highestMhz } };
}

/** With no end to the time, a search is over only where no run of any length is worth it. */
const withTime = (desk: NextDesk, minutes: number | null): NextDesk => ({
  ...desk,
  question: { ...desk.question, minutes },
});
