import { resampled } from "../numerics/particles.ts";
import {
  bestTrialOf,
  clockLadder,
  type Ladder,
  type LadderAnswer,
  ladderAnswerOf,
  likelyNextChance,
  type RatedTrial,
  voltageLadder,
  worthwhilePerMinute,
} from "./ladder.ts";
import { clocksAtHazard, limitDrawsOf, voltagesForClock } from "./limitReach.ts";
import type { NextAnswer, Setting, Settled } from "./nextAnswer.ts";
import {
  allowedClock,
  allowedVoltage,
  clockGrid,
  coolestFirst,
  type Desk,
  durationsFor,
  nothingAllowed,
  tooHot,
} from "./nextDesk.ts";
import { type Choice, planFrom } from "./nextPlan.ts";
import { proofOf, proposalOf, purposeOf, reachOf, switchingLoad } from "./nextProposal.ts";
import {
  becauseOfLadderTrial,
  becauseSettledAtClock,
  becauseSettledAtVoltage,
  switchedUnder,
} from "./nextWords.ts";

/** So many draws are enough to weigh proposals. */
const planningDraws = 400;

export function atOneVoltage(desk: Desk, askedMv: number): NextAnswer {
  const voltageMv = allowedVoltage(desk, askedMv);
  const ladder = (at: Desk): Ladder =>
    clockLadder(voltageMv, clockGrid(at), (draws) => clocksAtHazard(draws, voltageMv, desk.hazard));
  return onLadder(desk, ladder, ({ clockMhz }, answer) => ({
    settled: { clockMhz, chance: answer.chance },
    because: becauseSettledAtVoltage({ clockMhz, voltageMv }, answer),
  }));
}

export function atOneClock(asked: Desk, askedMhz: number): NextAnswer {
  const desk = { ...asked, workloadId: failingFirst(asked) };
  const clockMhz = allowedClock(desk, askedMhz);
  const { chip } = desk.question;
  const highestMv = desk.bounds.highestMv ?? desk.fit.frame.voltageMv;
  const lowestMv = Math.max(100, 0.5 * Math.min(highestMv, desk.fit.frame.voltageMv));
  const ladder = voltageLadder(
    clockMhz,
    { originMv: chip.stockVoltageMv ?? 0, stepMv: chip.voltageStepMv, highestMv, lowestMv },
    (draws) => voltagesForClock(draws, clockMhz, desk.hazard, { lowMv: lowestMv, highMv: highestMv }),
  );
  return onLadder(
    desk,
    () => ladder,
    ({ voltageMv }, answer) => ({
      settled: { voltageMv, chance: answer.chance },
      because: becauseSettledAtClock({ clockMhz, voltageMv }, answer),
    }),
  );
}

/** So sure has the record to be that a switching load fails before the steady one. */
const failsFirstChance = 0.8;

/** At low voltages the load to look at is one that switches, once the record shows it to fail where the heaviest holds. */
function failingFirst({ question, fit, workloadId }: Desk): string | null {
  if (question.workloadId != null) return workloadId;
  const steady = limitDrawsOf(fit, fit.draws, workloadId);
  const chanceBelow = (id: string): number =>
    limitDrawsOf(fit, fit.draws, id).logLimit.reduce(
      (sum, limit, k) => (limit < steady.logLimit[k]! ? sum + steady.weights[k]! : sum),
      0,
    );
  const [first] = question.workloads
    .filter(({ id, kind }) => kind === "transition" && fit.model.workloadPlace(id) !== undefined)
    .map(({ id }) => ({ id, chance: chanceBelow(id) }))
    .filter(({ chance }) => chance >= failsFirstChance)
    .sort((a, b) => b.chance - a.chance);
  return first?.id ?? workloadId;
}

/** Settled, or the attempt that tells most; an answer in hand that no attempt would soon change is settled too. */
function onLadder(
  desk: Desk,
  ladderOf: (desk: Desk) => Ladder,
  settledAt: (setting: Setting, answer: LadderAnswer) => Omit<Settled, "proof" | "reach" | "taughtBy">,
): NextAnswer {
  const ladder = ladderOf(desk);
  const all = limitDrawsOf(desk.fit, desk.fit.draws, desk.workloadId);
  const answer = ladderAnswerOf(ladder, all);
  const settled = (rung: number): Settled => {
    const setting = ladder.settingAt(rung);
    const proof = proofOf(desk, all, setting);
    const found = settledAt(setting, answer);
    const because = [found.because, ...tooHot(desk, setting)].join(" ");
    const mayReach =
      desk.question.clockMhz == null && answer.nextChance >= likelyNextChance && rung < ladder.hardest;
    const reach = mayReach ? reachOf(desk, all, ladder.settingAt(rung + 1)) : null;
    return { ...found, because, proof, reach, taughtBy: desk.fit.taughtBy };
  };
  if (answer.rung !== null && answer.settled) return settled(answer.rung);
  const few = limitDrawsOf(desk.fit, resampled(desk.fit.draws, planningDraws, 0.5), desk.workloadId);
  const choice: Choice<RatedTrial> = (at, draws) =>
    coolestFirst(at, (refuses) =>
      bestTrialOf(ladderOf(at), draws, { durations: durationsFor(at), costs: at.costs, refuses }),
    );
  const trial = choice(desk, few);
  const isWorthwhile = trial !== null && trial.informationPerMinute >= worthwhilePerMinute;
  if (answer.rung !== null && !isWorthwhile && answer.rung < ladder.hardest) return settled(answer.rung);
  if (trial === null) return nothingAllowed(desk);
  const purpose = purposeOf(desk, trial);
  const because = `${becauseOfLadderTrial(trial, purpose, answer, desk.question.rows.length)}${underSwitching(desk)}`;
  return { ...proposalOf(desk, all, trial, purpose, because), plan: planFrom(desk, few, trial, choice) };
}

const underSwitching = (desk: Desk): string => {
  const load = desk.question.clockMhz == null ? null : switchingLoad(desk);
  return load !== null && load.id === desk.workloadId ? switchedUnder(load.name) : "";
};
