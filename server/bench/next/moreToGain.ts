import { clockStepsOf } from "../things/clockSteps.ts";
import type { Setting } from "../things/setting.ts";
import { hasRun, type LadderDesk } from "./ladderDesk.ts";
import { leaveRunningOf } from "./leaveRunning.ts";
import type { Gain, LeaveRunning, Nearer } from "./nextAnswer.ts";
import { type NextDesk, refusesAt } from "./nextDesk.ts";

/** To halve what is open takes so many nats. */
const halving = Math.LN2;
const roundedToMinutes = 10;
/** More than a day of it is no offer. */
const mostMinutes = 1440;

/** What more bench time might bring: half of what is open, at the pace of the attempt that tells most. Null where nothing is. */
export function nearerOf({ question }: NextDesk, { answer, trial }: LadderDesk): Nearer | null {
  const { likely, sure } = answer;
  if (likely === null || sure === null || likely <= sure || trial === null || trial.informationPerMinute <= 0)
    return null;
  const minutes = halving / trial.informationPerMinute;
  if (minutes > mostMinutes) return null;
  return {
    minutes: Math.max(1, Math.ceil(minutes / roundedToMinutes)) * roundedToMinutes,
    ...gainOf(question, (likely - sure) / 2),
  };
}

const gainOf = ({ chip, clockMhz }: NextDesk["question"], rungs: number): Gain =>
  clockMhz == null
    ? { gainMhz: tenths(rungs * clockStepsOf(chip).stepMhz), gainMv: null }
    : { gainMhz: null, gainMv: tenths(rungs * chip.voltageStepMv) };

const tenths = (value: number): number => Math.round(10 * value) / 10;

/** Eight hours at the most telling of the rungs that ran already, from the answer upward. */
export function leaveRunningAt(desk: NextDesk, { ladder, few, answer }: LadderDesk): LeaveRunning | null {
  if (answer.rung === null || answer.likely === null) return null;
  const refuses = refusesAt(desk);
  const mayRun = (setting: Setting): boolean => hasRun(desk, setting) && !refuses(setting);
  const rungs: number[] = [];
  for (let rung = answer.rung; rung <= answer.likely + 1; rung++)
    if (mayRun(ladder.settingAt(rung))) rungs.push(rung);
  const found = leaveRunningOf(ladder, few, rungs, desk.costs);
  if (found === null) return null;
  const { rungsGained, ...run } = found;
  return { ...run, ...gainOf(desk.question, rungsGained) };
}
