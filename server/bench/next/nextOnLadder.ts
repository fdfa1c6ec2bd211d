import { limitDrawsOf } from "../limit/limitReach.ts";
import type { Setting } from "../things/setting.ts";
import { voltageLookedAt } from "./coolVoltage.ts";
import type { Ladder } from "./ladder.ts";
import { hasRun, type LadderDesk, ladderAtClock, ladderAtVoltage, ladderDeskOf } from "./ladderDesk.ts";
import { leaveRunningAt, nearerOf } from "./moreToGain.ts";
import type { NextAnswer, Settled } from "./nextAnswer.ts";
import {
  allowedClock,
  allowedVoltage,
  barredWords,
  clockUnitOf,
  isPassedOver,
  type NextDesk,
  nextDeskOf,
  nothingAllowed,
} from "./nextDesk.ts";
import { type PlanSteps, planFrom } from "./nextPlan.ts";
import {
  firstProofOf,
  forecastOn,
  plannedProofOf,
  proofOf,
  proposalOf,
  purposeOf,
  switchingLoad,
} from "./nextProposal.ts";
import {
  becauseOfFirstProof,
  becauseOfLadderTrial,
  becauseSettledAtClock,
  becauseSettledAtVoltage,
  switchedUnder,
} from "./nextWords.ts";

export function atOneVoltage(desk: NextDesk, askedMv: number): NextAnswer {
  const voltageMv = voltageLookedAt(desk, allowedVoltage(desk, askedMv));
  return onLadder(desk, ladderAtVoltage(voltageMv, desk.hazard), (setting, { answer }) => ({
    settled: { clockMhz: setting.clockMhz, chance: answer.chance },
    because: becauseSettledAtVoltage(setting, answer, desk.wanted, clockUnitOf(desk)),
  }));
}

export function atOneClock(asked: NextDesk, askedMhz: number): NextAnswer {
  const desk = nextDeskOf(asked.question, asked.fit, failingFirst(asked));
  const clockMhz = allowedClock(desk, askedMhz);
  const ladder = ladderAtClock(desk, clockMhz);
  return onLadder(
    desk,
    () => ladder,
    (setting, { answer }) => ({
      settled: { voltageMv: setting.voltageMv, chance: answer.chance },
      because: becauseSettledAtClock(setting, answer, desk.wanted, clockUnitOf(desk)),
    }),
  );
}

/** So sure has the record to be that a switching load fails before the steady one. */
const failsFirstChance = 0.8;

/** At low voltages the load to look at is one that switches, once the record shows it to fail where the heaviest holds. */
function failingFirst({ question, fit, workloadId }: NextDesk): string | null {
  if (question.workloadId != null) return workloadId;
  const steady = limitDrawsOf(fit, fit.draws, workloadId);
  const chanceBelow = (id: string): number =>
    limitDrawsOf(fit, fit.draws, id).logLimit.reduce(
      (sum, limit, k) => (limit < steady.logLimit[k]! ? sum + steady.weights[k]! : sum),
      0,
    );
  const [first] = question.workloads
    .filter(({ kind }) => kind === "transition")
    .map(({ id }) => ({ id, chance: chanceBelow(id) }))
    .filter(({ chance }) => chance >= failsFirstChance)
    .sort((a, b) => b.chance - a.chance);
  return first?.id ?? workloadId;
}

type SettledAt = (setting: Setting, at: LadderDesk) => Pick<Settled, "settled" | "because">;

/** The attempt that tells most; once that is settled the run that the answer still lacks; then the answer. */
function onLadder(desk: NextDesk, ladderOf: (desk: NextDesk) => Ladder, settledAt: SettledAt): NextAnswer {
  const at = ladderDeskOf(desk, ladderOf);
  const { ladder, answer, trial } = at;
  desk.blocked.push(...wantedAndBarred(desk, at));
  if (at.settled && answer.rung !== null) {
    const setting = ladder.settingAt(answer.rung);
    const isToRun = !hasRun(desk, setting) && !isPassedOver(desk, setting);
    return isToRun
      ? firstProofOf(
          desk,
          at.all,
          setting,
          becauseOfFirstProof(setting, answer, desk.wanted, clockUnitOf(desk)) + underSwitching(desk),
        )
      : settledOn(desk, at, setting, settledAt);
  }
  if (trial === null) return nothingAllowed(desk);
  const sure = forecastOn(desk, at.all, trial);
  const purpose = purposeOf(desk, sure);
  const because = `${becauseOfLadderTrial(sure, purpose, answer, desk.question.rows.length, clockUnitOf(desk))}${underSwitching(desk)}`;
  return {
    ...proposalOf(desk, sure, purpose, because),
    ...planFrom(desk, at.few, sure, { next: at.goesOn, proof: proofIn(at) }),
  };
}

/** A low voltage is proved under another load than it is searched under: no plan says that. */
const proofIn =
  ({ answerAt }: LadderDesk): PlanSteps["proof"] =>
  (desk, draws) => {
    const setting = desk.question.clockMhz == null ? answerAt(desk, draws) : null;
    return setting && plannedProofOf(desk, draws, setting);
  };

function settledOn(desk: NextDesk, at: LadderDesk, setting: Setting, settledAt: SettledAt): Settled {
  return {
    ...settledAt(setting, at),
    proof: proofOf(desk, at.all, setting),
    nearer: nearerOf(desk, at),
    leaveRunning: leaveRunningAt(desk, at),
    blocked: [...desk.blocked],
    taughtBy: desk.fit.taughtBy,
  };
}

/** Just beyond what the limit may reach, where that may not be proposed: what stands in the way is said. */
function wantedAndBarred(desk: NextDesk, { ladder, answer }: LadderDesk): readonly string[] {
  if (answer.highest === null) return [];
  return barredWords(desk, ladder.settingAt(Math.min(answer.highest + 1, ladder.hardest)));
}

const underSwitching = (desk: NextDesk): string => {
  const load = desk.question.clockMhz == null ? null : switchingLoad(desk);
  return load !== null && load.id === desk.workloadId ? switchedUnder(load.name) : "";
};
