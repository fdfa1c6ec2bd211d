import { pointOf } from "../../numerics/particles.ts";
import { isAsHard } from "../frontier/standingFailures.ts";
import { clockWords, type UnitOfClock, volts } from "../things/words.ts";
import type { LimitRecord } from "./limitEvidence.ts";
import type { LimitFit } from "./limitFit.ts";

/** An attempt that the rest of the record speaks against, and what would settle it. */
export type DoubtfulRecord = Readonly<{
  attemptId: string;
  chanceWrong: number;
  because: string;
  settledBy: string;
}>;

/** Attempts of this build whose chance of being wrong exceeds one half. */
export const doubtfulRecordsOf = (fit: LimitFit, unit: UnitOfClock): DoubtfulRecord[] =>
  doubtedIn(fit).flatMap(({ record, chanceWrong }) =>
    record.attemptIds.map((attemptId) => doubtful(attemptId, record, chanceWrong, unit)),
  );

function doubtedIn(fit: LimitFit): Readonly<{ record: LimitRecord; chanceWrong: number }>[] {
  const chances = chancesWrong(fit);
  return fit.records.flatMap((record, index) =>
    record.build === 0 && chances[index]! > 0.5 ? [{ record, chanceWrong: chances[index]! }] : [],
  );
}

/** A failure no harder, within this share of clock and voltage, speaks of the same place. */
const samePlaceShare = 0.01;

const within = (share: number): boolean => share >= 0 && share <= samePlaceShare;

/**
 * Attempts that are believed to be wrong: those doubted, save a failure that another one nearby seconds. One odd crash may
 * have been something else; a second at the same place is the clock's until it is shown otherwise. What other builds or
 * parts showed is no excuse by itself: this one may be worse, until it passed as hard.
 */
export function excusedBy(fit: LimitFit): ReadonlySet<string> {
  const own = fit.records.filter(({ build }) => build === 0);
  const isTaught = own.length < fit.records.length;
  const passed = own.filter(({ failed }) => !failed);
  const failed = own.filter((record) => record.failed);
  const isSeconded = (one: LimitRecord): boolean => {
    const near = failed.filter(
      ({ clockMhz, voltageMv }) =>
        within(1 - clockMhz / one.clockMhz) && within(voltageMv / one.voltageMv - 1),
    );
    return near.reduce((sum, { attemptIds }) => sum + attemptIds.length, 0) > 1;
  };
  const stands = (one: LimitRecord): boolean =>
    one.failed && (isSeconded(one) || (isTaught && !passed.some((pass) => isAsHard(pass, one))));
  const doubted = doubtedIn(fit).filter(({ record }) => !stands(record));
  return new Set(doubted.flatMap(({ record }) => record.attemptIds));
}

/** The chance of each record that it is wrong, over the draws. */
function chancesWrong({ model, draws, records }: LimitFit): Float64Array {
  const sums = new Float64Array(records.length);
  const chances = new Float64Array(records.length);
  for (let k = 0; k < draws.count; k++) {
    if (draws.weights[k]! <= 1e-7) continue;
    model.wrongChances(pointOf(draws, k), chances);
    for (let i = 0; i < sums.length; i++) sums[i]! += draws.weights[k]! * chances[i]!;
  }
  return sums;
}

function doubtful(
  attemptId: string,
  record: LimitRecord,
  chanceWrong: number,
  unit: UnitOfClock,
): DoubtfulRecord {
  const voltage = record.placing === null ? `at ${volts(record.voltageMv)}` : "on automatic voltage";
  const setting = `${clockWords(record.clockMhz, unit)} ${voltage}`;
  return record.failed
    ? {
        attemptId,
        chanceWrong,
        because: `A crash of ${setting} does not fit what passed; something else may have brought it down.`,
        settledBy: `Run ${setting} again for 20 minutes: a pass speaks against the crash.`,
      }
    : {
        attemptId,
        chanceWrong,
        because: `A pass of ${setting} does not fit what crashed; the setting may not have been applied.`,
        settledBy: `Run ${setting} again for 10 minutes and read the effective clock: a crash speaks against the pass.`,
      };
}
