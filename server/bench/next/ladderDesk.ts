import { resampled } from "../../numerics/particles.ts";
import { provenFromS } from "../frontier/provenRuns.ts";
import { hasFailed } from "../limit/limitFit.ts";
import { clocksAtHazard, type LimitDraws, limitDrawsOf, voltagesForClock } from "../limit/limitReach.ts";
import type { Setting } from "../things/setting.ts";
import { clockLadder, type Ladder, voltageLadder } from "./ladder.ts";
import { type LadderAnswer, ladderAnswerOf } from "./ladderAnswer.ts";
import { bestTrialOf, type RatedTrial, worthwhilePerMinute } from "./ladderTrial.ts";
import {
  clocksFor,
  durationsFor,
  isRuledOutAt,
  mostWithGuard,
  type NextDesk,
  refusesAt,
} from "./nextDesk.ts";
import type { TrialChooser } from "./nextPlan.ts";
import { whyTooWarm } from "./warmth.ts";

/** Everything that is looked at on one ladder: what is believed of it, the answer, and the attempt that tells most. */
export type LadderDesk = Readonly<{
  ladder: Ladder;
  all: LimitDraws;
  /** As many draws as it takes to weigh proposals. */
  few: LimitDraws;
  answer: LadderAnswer;
  /** What would be tried on that ladder next, with what would be believed then; null once the search would be over. */
  goesOn: TrialChooser<RatedTrial>;
  /** What the answer would be then. */
  answerAt: (desk: NextDesk, draws: LimitDraws) => Setting | null;
  trial: RatedTrial | null;
  /** The search is over: the answer is near enough, or nothing tells enough about it any more. */
  settled: boolean;
}>;

const planningDraws = 400;

export function ladderDeskOf(desk: NextDesk, ladderOf: (desk: NextDesk) => Ladder): LadderDesk {
  const { fit, workloadId, wanted } = desk;
  const ladder = ladderOf(desk);
  const all = limitDrawsOf(fit, fit.draws, workloadId);
  const few = limitDrawsOf(fit, resampled(fit.draws, planningDraws, 0.5), workloadId);
  const answer = ladderAnswerOf(ladder, all, wanted, isRuledOutAt(desk));
  const choice: TrialChooser<RatedTrial> = (at, draws) =>
    bestTrialOf(ladderOf(at), draws, {
      durations: durationsFor(at),
      costs: at.costs,
      refuses: refusesAt(at),
    });
  const trial = choice(desk, few);
  const reached = (at: NextDesk, draws: LimitDraws): LadderAnswer =>
    ladderAnswerOf(ladderOf(at), draws, wanted, isRuledOutAt(at));
  const goesOn: LadderDesk["goesOn"] = (at, draws) => {
    const next = choice(at, draws);
    return next !== null && isSettled(at, ladder, reached(at, draws), next) ? null : next;
  };
  const answerAt: LadderDesk["answerAt"] = (at, draws) => {
    const { rung } = reached(at, draws);
    return rung === null ? null : ladderOf(at).settingAt(rung);
  };
  return {
    ladder,
    all,
    few,
    answer,
    goesOn,
    answerAt,
    trial,
    settled: isSettled(desk, ladder, answer, trial),
  };
}

function isSettled(
  desk: NextDesk,
  { tellingPerMinute }: Ladder,
  { near, rung }: LadderAnswer,
  trial: RatedTrial | null,
): boolean {
  const least = near && hasFailed(desk.fit) ? tellingPerMinute : worthwhilePerMinute;
  return rung !== null && (trial === null || trial.informationPerMinute < least);
}

export const hasRun = ({ proven }: NextDesk, setting: Setting): boolean =>
  proven.longestS(setting) >= provenFromS;

export const ladderAtVoltage =
  (voltageMv: number, hazard: number) =>
  (desk: NextDesk): Ladder =>
    clockLadder(
      voltageMv,
      { ...clocksFor(desk), isTooWarm: (setting) => whyTooWarm(desk.warmth, setting) !== null },
      (draws) => clocksAtHazard(draws, voltageMv, hazard),
    );

export function ladderAtClock(desk: NextDesk, clockMhz: number): Ladder {
  const { chip } = desk.question;
  const highestMv = Math.min(
    desk.bounds.highestMv ?? desk.fit.frame.voltageMv,
    mostWithGuard(desk) ?? Number.POSITIVE_INFINITY,
  );
  const lowestMv = Math.max(100, 0.5 * Math.min(highestMv, desk.fit.frame.voltageMv));
  return voltageLadder(
    clockMhz,
    { originMv: chip.stockVoltageMv ?? 0, stepMv: chip.voltageStepMv, highestMv, lowestMv },
    (draws) => voltagesForClock(draws, clockMhz, desk.hazard, { lowMv: lowestMv, highMv: highestMv }),
  );
}
