import type { LimitDraws } from "./limitReach.ts";
import type { Proposal, Purpose, Setting } from "./nextAnswer.ts";
import { type Desk, isPassedOver, tooHot } from "./nextDesk.ts";
import { becauseOfLowProof, becauseOfProof, becauseOfReach } from "./nextWords.ts";
import { type TrialForecast, trialForecastsOf } from "./trialForecast.ts";
import type { Workload } from "./workload.ts";

/** A long run proves; between a pass and a crash it resolves; else it screens. */
export function purposeOf({ question }: Desk, { voltageMv, clockMhz, minutes }: TrialForecast): Purpose {
  if (minutes >= 60) return "prove";
  const near = question.rows.filter((row) => row.voltageMv === voltageMv || row.clockMhz === clockMhz);
  const outcomes = new Set(near.map(({ outcome }) => (outcome === "pass" ? "pass" : "other")));
  return outcomes.size === 2 ? "resolve" : "screen";
}

export function proposalOf(
  desk: Desk,
  draws: LimitDraws,
  trial: TrialForecast,
  purpose: Purpose,
  because: string,
): Proposal {
  const { clockMhz, voltageMv, minutes } = trial;
  const [sure] = trialForecastsOf(draws, trial, [minutes], desk.costs) as [TrialForecast];
  return {
    clockMhz,
    voltageMv,
    workloadId: desk.workloadId,
    durationS: 60 * minutes,
    purpose,
    chanceOfPass: sure.chanceOfPass,
    expectedMinutes: sure.expectedMinutes,
    expectedTempC: expectedTempOf(desk, trial),
    because,
    blocked: [...desk.blocked],
    taughtBy: desk.fit.taughtBy,
    plan: null,
  };
}

function expectedTempOf(
  { fit, workloadId }: Desk,
  { clockMhz, voltageMv }: Setting,
): Proposal["expectedTempC"] {
  if (fit.heat.law === null) return null;
  const { mid, low, high } = fit.heat.law.forecast({ clockMhz, voltageMv, workloadId, ambientC: null });
  return { mid, low, high };
}

const proofMinutes = 60;

/** An hour at the answer, unless such a pass is on record. An undervolt is proved under a load that switches on and off. */
export function proofOf(desk: Desk, draws: LimitDraws, setting: Setting): Proposal | null {
  const isLow = desk.question.clockMhz != null;
  const switching = isLow ? switchingLoad(desk) : null;
  const workloadId = switching?.id ?? desk.workloadId;
  if (isProved(desk, setting, workloadId)) return null;
  const because = isLow ? becauseOfLowProof(setting, switching?.name ?? null) : becauseOfProof(setting);
  const [trial] = trialForecastsOf(draws, setting, [proofMinutes], desk.costs) as [TrialForecast];
  return { ...proposalOf(desk, draws, trial, "prove", because), workloadId };
}

/** An hour one step harder than an answer, unless such a pass is on record; only where it is forecast to stay cool. */
export function reachOf(desk: Desk, draws: LimitDraws, setting: Setting): Proposal | null {
  const isDone = isProved(desk, setting, desk.workloadId) || isPassedOver(desk, setting);
  if (isDone || tooHot(desk, setting).length > 0) return null;
  const [trial] = trialForecastsOf(draws, setting, [proofMinutes], desk.costs) as [TrialForecast];
  return proposalOf(desk, draws, trial, "prove", becauseOfReach(setting, trial.chanceOfPass));
}

/** The load looked at where it switches, else the first that does; null where none is written down. */
export const switchingLoad = ({ question, workloadId }: Desk): Workload | null => {
  const switching = question.workloads.filter(({ kind }) => kind === "transition");
  return switching.find(({ id }) => id === workloadId) ?? switching[0] ?? null;
};

const isProved = ({ question }: Desk, setting: Setting, workloadId: string | null): boolean =>
  question.rows.some(
    (row) =>
      row.outcome === "pass" &&
      row.durationS >= 60 * proofMinutes &&
      row.workloadId === workloadId &&
      row.clockMhz >= setting.clockMhz &&
      row.voltageMv <= setting.voltageMv,
  );
