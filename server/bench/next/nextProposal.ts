import { provenFromS } from "../frontier/provenRuns.ts";
import type { LimitDraws } from "../limit/limitReach.ts";
import { isCrash, outcomeClass } from "../things/outcome.ts";
import type { Setting } from "../things/setting.ts";
import type { Workload } from "../things/workload.ts";
import type { Proposal, Purpose } from "./nextAnswer.ts";
import { isPassedOver, type NextDesk } from "./nextDesk.ts";
import { becauseOfLowProof, becauseOfProof } from "./nextWords.ts";
import { isLongShot, longestLongShotMinutes, type TrialForecast, trialForecastsOf } from "./trialForecast.ts";

/** A long run proves; between a pass and a crash it resolves; else it screens. */
export function purposeOf({ question }: NextDesk, { voltageMv, clockMhz, minutes }: TrialForecast): Purpose {
  if (minutes >= 60) return "prove";
  const near = question.rows.filter((row) => row.voltageMv === voltageMv || row.clockMhz === clockMhz);
  const hasPassed = near.some(({ outcome }) => outcomeClass(outcome) === "pass");
  return hasPassed && near.some(({ outcome }) => isCrash(outcome)) ? "resolve" : "screen";
}

/** `trial` is foretold on all draws. */
export function proposalOf(
  desk: NextDesk,
  trial: TrialForecast,
  purpose: Purpose,
  because: string,
): Proposal {
  const { clockMhz, voltageMv, minutes, chanceOfPass, expectedMinutes } = trial;
  return {
    clockMhz,
    voltageMv,
    workloadId: desk.workloadId,
    durationS: 60 * minutes,
    purpose,
    chanceOfPass,
    expectedMinutes,
    expectedTempC: expectedTempOf(desk, trial),
    because,
    blocked: [...desk.blocked],
    taughtBy: desk.fit.taughtBy,
    plan: null,
    planEndsSearch: false,
  };
}

/** What was chosen on a few draws as all foretell it; what the few gave a fair chance and all do not is cut to a short run. */
export function forecastOn({ costs }: NextDesk, draws: LimitDraws, trial: TrialForecast): TrialForecast {
  const [asked, short] = trialForecastsOf(draws, trial, [trial.minutes, longestLongShotMinutes], costs) as [
    TrialForecast,
    TrialForecast,
  ];
  return isLongShot(asked) ? short : asked;
}

function expectedTempOf(
  { fit, workloadId }: NextDesk,
  { clockMhz, voltageMv }: Setting,
): Proposal["expectedTempC"] {
  if (fit.heat.law === null) return null;
  const { mid, low, high } = fit.heat.law.forecast({ clockMhz, voltageMv, workloadId, ambientC: null });
  return { mid, low, high };
}

/** The run that the answer still lacks, before it may be told as one. */
export function firstProofOf(desk: NextDesk, draws: LimitDraws, setting: Setting, because: string): Proposal {
  const [trial] = trialForecastsOf(draws, setting, [provenFromS / 60], desk.costs) as [TrialForecast];
  return proposalOf(desk, trial, "prove", because);
}

const proofMinutes = 60;

/** An hour at the answer, unless such a pass is on record. An undervolt is proved under a load that switches on and off. */
export function proofOf(desk: NextDesk, draws: LimitDraws, setting: Setting): Proposal | null {
  const { clockUnit, kind } = desk.question.chip;
  // Memory is tested by what copies and checks; nothing is known of loads that switch.
  const isLow = desk.question.clockMhz != null && kind !== "memory";
  const switching = isLow ? switchingLoad(desk) : null;
  const workloadId = switching?.id ?? desk.workloadId;
  if (isProved(desk, setting, workloadId)) return null;
  const because = isLow
    ? becauseOfLowProof(setting, switching?.name ?? null, clockUnit)
    : becauseOfProof(setting, clockUnit);
  const [trial] = trialForecastsOf(draws, setting, [proofMinutes], desk.costs) as [TrialForecast];
  return { ...proposalOf(desk, trial, "prove", because), workloadId };
}

/** The same within a plan, under the load looked at. */
export function plannedProofOf(desk: NextDesk, draws: LimitDraws, setting: Setting): TrialForecast | null {
  if (isProved(desk, setting, desk.workloadId) || isPassedOver(desk, setting)) return null;
  return trialForecastsOf(draws, setting, [proofMinutes], desk.costs)[0] ?? null;
}

/** The load looked at where it switches, else the first that does; null where none is written down. */
export const switchingLoad = ({ question, workloadId }: NextDesk): Workload | null => {
  const switching = question.workloads.filter(({ kind }) => kind === "transition");
  return switching.find(({ id }) => id === workloadId) ?? switching[0] ?? null;
};

const isProved = ({ question }: NextDesk, setting: Setting, workloadId: string | null): boolean =>
  question.rows.some(
    (row) =>
      row.outcome === "pass" &&
      row.durationS >= 60 * proofMinutes &&
      row.workloadId === workloadId &&
      row.clockMhz >= setting.clockMhz &&
      row.voltageMv <= setting.voltageMv,
  );
