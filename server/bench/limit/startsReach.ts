import { chanceOfStarts } from "./startThreshold.ts";
import { wrongCrash, wrongPass, wrongShare } from "./wrongRecords.ts";

/** One start that failed: how far up, in e-folds above once an hour, which record, and how often it was seen. */
type FailedStart = { efolds: number; record: number; times: number };

/** How far up the starts of a record went: the lowest three that failed, and the highest that came up; record -1 for none. */
export type StartsReach = Readonly<{ failed: readonly [FailedStart, FailedStart, FailedStart] }> & {
  up: number;
  highestUp: number;
};

const noFailure = (): FailedStart => ({ efolds: Infinity, record: -1, times: 0 });

export const noStarts = (): StartsReach => ({
  failed: [noFailure(), noFailure(), noFailure()],
  up: -Infinity,
  highestUp: -1,
});

export function noteUp(reach: StartsReach, record: number, efolds: number): void {
  if (!(efolds > reach.up)) return;
  reach.up = efolds;
  reach.highestUp = record;
}

/** Keeps the three lowest in order, without making an object: it is asked in the innermost loop. */
export function noteFailed({ failed }: StartsReach, record: number, efolds: number, times: number): void {
  const [first, second, third] = failed;
  if (!(efolds < third.efolds)) return;
  let place = third;
  if (efolds < second.efolds) {
    set(third, second.efolds, second.record, second.times);
    place = second;
    if (efolds < first.efolds) {
      set(second, first.efolds, first.record, first.times);
      place = first;
    }
  }
  set(place, efolds, record, times);
}

function set(place: FailedStart, efolds: number, record: number, times: number): void {
  place.efolds = efolds;
  place.record = record;
  place.times = times;
}

/**
 * The chance of what the starts tell. The lowest that failed stands for all, unless it is wrong: then the next one does,
 * and so on, so that many failed starts are not explained away as easily as one.
 */
export function chanceOfReach({ failed, up }: StartsReach): number {
  const [first, second, third] = failed;
  if (first.record < 0) return (1 - wrongShare) * chanceOfStarts(Infinity, up) + wrongPass;
  const beyond = third.record < 0 ? 0 : stands(third, up) + wrong(third) * chanceOfStarts(Infinity, up);
  const next = second.record < 0 ? 0 : stands(second, up) + wrong(second) * orNone(third, beyond, up);
  return stands(first, up) + wrong(first) * orNone(second, next, up);
}

const stands = ({ efolds }: FailedStart, up: number): number => (1 - wrongShare) * chanceOfStarts(efolds, up);
const wrong = ({ times }: FailedStart): number => (times === 1 ? wrongCrash : wrongCrash ** times);
const orNone = (next: FailedStart, chance: number, up: number): number =>
  next.record < 0 ? chanceOfStarts(Infinity, up) : chance;

/** The chance that the lowest failed start is wrong. */
export const chanceLowestWrong = (reach: StartsReach): number =>
  1 - stands(reach.failed[0], reach.up) / chanceOfReach(reach);

const nudge = 1e-4;

/** How the logarithm of the chance moves with each start it hangs on, from differences. */
export function reachSlopes(reach: StartsReach, each: (record: number, slope: number) => void): number {
  const told = Math.log(chanceOfReach(reach));
  for (const start of reach.failed) {
    if (start.record < 0) break;
    start.efolds += nudge;
    each(start.record, (Math.log(chanceOfReach(reach)) - told) / nudge);
    start.efolds -= nudge;
  }
  if (reach.highestUp >= 0) {
    reach.up += nudge;
    each(reach.highestUp, (Math.log(chanceOfReach(reach)) - told) / nudge);
    reach.up -= nudge;
  }
  return told;
}
