import { readBackOf } from "../bench/runs/settingRead.ts";
import { isCrash } from "../bench/things/outcome.ts";
import type { PastRun } from "./history.ts";
import type { Word } from "./word.ts";

/** What is armed without a tap: an attempt as the journal takes it, and what it follows. */
export type SelfArmed = Readonly<{ attempt: object; afterId: string }>;

/** Only where the machine confirms what somebody was told to set, and nothing died since; null elsewhere. */
export function selfArmed(
  { proposed, last, chip }: Word,
  topClockMhz: number | null,
  forS: number | null,
): SelfArmed | null {
  if (proposed === null || last === null || isCrash(last.outcome) || !chip.settingShows) return null;
  const check = readBackOf({
    asked: proposed,
    read: { clockMhz: topClockMhz, voltageMv: null },
    others: [chip.stock, last],
    droopMv: null,
  });
  if (check.says !== "confirmed") return null;
  const { clockMhz, voltageMv, workloadId, durationS, besides } = proposed;
  return {
    attempt: {
      ...{ ...besides, clockMhz, voltageMv, workloadId },
      ...{ plannedS: forS ?? durationS, outcome: "running" },
    },
    afterId: last.attemptId,
  };
}

/** More deaths than that within an hour are no search any more. */
export const usualMostDeaths = 3;
const withinMs = 3_600_000;

/** So many deaths within an hour, the first of them no longer ago than that, end an evening. */
export function endsEvening(runs: readonly PastRun[], most: number, now: string): boolean {
  const deaths = runs.filter(({ outcome }) => outcome === "died").map(({ endedAt }) => Date.parse(endedAt));
  const last = deaths.slice(-most);
  const [first = 0] = last;
  return last.length === most && Math.max(...last) - first <= withinMs && Date.parse(now) - first <= withinMs;
}
