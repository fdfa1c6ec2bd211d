import { evidenceClockMhz } from "../frontier/evidence.ts";
import { limitDrawsOf } from "../limit/limitReach.ts";
import type { EvidenceRow } from "../things/evidenceRow.ts";
import { isCrash } from "../things/outcome.ts";
import type { Proposal } from "./nextAnswer.ts";
import { type NextDesk, nextDeskOf } from "./nextDesk.ts";
import { proposalOf } from "./nextProposal.ts";
import { becauseOfAgain, onceOnlyNote } from "./nextWords.ts";
import { isLongShot, longestLongShotMinutes, trialForecastsOf, trialMinutes } from "./trialForecast.ts";

/** The same again, once: was it the clock? Null where the attempt named did not fail, or was repeated already. */
export function againOf(desk: NextDesk): Proposal | null {
  const { question, fit } = desk;
  const failed = question.rows.find(({ id }) => id === question.again);
  const clockMhz = failed === undefined ? null : evidenceClockMhz(failed);
  if (failed === undefined || clockMhz === null || !isCrash(failed.outcome)) return null;
  if (question.rows.some((row) => repeats(row, failed))) {
    desk.blocked.push(onceOnlyNote({ clockMhz, voltageMv: failed.voltageMv }, question.chip.clockUnit));
    return null;
  }
  const under = nextDeskOf(question, fit, failed.workloadId);
  const draws = limitDrawsOf(fit, fit.draws, failed.workloadId);
  const setting = { clockMhz, voltageMv: failed.voltageMv };
  const forecasts = trialForecastsOf(draws, setting, durationsBeyond(failed), desk.costs);
  const trial = forecasts.find((one) => !isLongShot(one)) ?? forecasts[0]!;
  return proposalOf(under, trial, "resolve", becauseOfAgain(trial, failed));
}

const repeats = (row: EvidenceRow, failed: EvidenceRow): boolean =>
  row.startedAt > failed.startedAt &&
  row.workloadId === failed.workloadId &&
  row.voltageMv === failed.voltageMv &&
  evidenceClockMhz(row) === evidenceClockMhz(failed);

/** Long enough to outlive the failure, where a run may be so long; else as long as one that likely fails may be. */
function durationsBeyond({ durationS }: EvidenceRow): readonly number[] {
  const longer = trialMinutes.filter(
    (minutes) => minutes >= longestLongShotMinutes && 60 * minutes > 1.25 * durationS,
  );
  return [...longer.slice(0, 1), longestLongShotMinutes];
}
