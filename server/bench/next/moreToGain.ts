import { hasRun, type LadderDesk } from "./ladderDesk.ts";
import { leaveRunningOf } from "./leaveRunning.ts";
import type { Gain, LeaveRunning, Nearer } from "./nextAnswer.ts";
import type { Desk } from "./nextDesk.ts";

/** To halve what is open takes so many nats. */
const halving = Math.LN2;
const roundedToMinutes = 10;

/** What more bench time might bring: half of what is open, at the pace of the attempt that tells most. Null where nothing is. */
export function nearerOf({ question }: Desk, { answer, trial }: LadderDesk): Nearer | null {
  const { likely, sure } = answer;
  if (likely === null || sure === null || likely <= sure || trial === null || trial.informationPerMinute <= 0)
    return null;
  const minutes = halving / trial.informationPerMinute;
  return {
    minutes: Math.max(1, Math.ceil(minutes / roundedToMinutes)) * roundedToMinutes,
    ...gainOf(question, (likely - sure) / 2),
  };
}

const gainOf = ({ chip, clockMhz }: Desk["question"], rungs: number): Gain =>
  clockMhz == null
    ? { gainMhz: tenths(rungs * chip.clockStepMhz), gainMv: null }
    : { gainMhz: null, gainMv: tenths(rungs * chip.voltageStepMv) };

const tenths = (value: number): number => Math.round(10 * value) / 10;

/** Eight hours at the most telling of the rungs that ran already, from the answer upward. */
export function leaveRunningAt(desk: Desk, { ladder, few, answer }: LadderDesk): LeaveRunning | null {
  if (answer.rung === null || answer.likely === null) return null;
  const rungs: number[] = [];
  for (let rung = answer.rung; rung <= answer.likely + 1; rung++)
    if (hasRun(desk, ladder.settingAt(rung))) rungs.push(rung);
  const found = leaveRunningOf(ladder, few, rungs, desk.costs);
  if (found === null) return null;
  const { rungsGained, ...run } = found;
  return { ...run, ...gainOf(desk.question, rungsGained) };
}
