import { ranAsSet } from "../frontier/evidence.ts";
import { provenFromS } from "../frontier/provenRuns.ts";
import { contesting, heavinessIn } from "../frontier/standingFailures.ts";
import { loadedRows } from "../limit/limitEvidence.ts";
import { chanceOfHours } from "../limit/limitReach.ts";
import { passesTooSeldom, ranTooShort } from "../next/nextWords.ts";
import { heatObjectionTo } from "../next/warmth.ts";
import type { EvidenceRow } from "../things/evidenceRow.ts";
import { outcomeClass, outcomeWords } from "../things/outcome.ts";
import type { Setting } from "../things/setting.ts";
import { clockWords, volts } from "../things/words.ts";
import type { BestAnswer, BestDesk, RecommendedSetting } from "./bestDesk.ts";

/** The highest clock that passed under the load asked about, and why it is not the answer; null where it is. */
export function highestSeenOf(best: RecommendedSetting | null, desk: BestDesk): BestAnswer["highestSeen"] {
  const { question, workloadId } = desk;
  const asHeavy = heavinessIn(question.workloads);
  const top = loadedRows(question.rows, question.workloads)
    .filter(
      (row) =>
        outcomeClass(row.outcome) === "pass" &&
        ranAsSet(row) &&
        (workloadId === null || asHeavy(row.workloadId, workloadId)),
    )
    .reduce<EvidenceRow | null>((high, row) => (high === null || isHigher(row, high) ? row : high), null);
  if (top === null) return null;
  const setting = { clockMhz: top.clockMhz, voltageMv: top.voltageMv };
  if (best !== null && setting.clockMhz <= best.clockMhz) return null;
  return {
    ...setting,
    attemptId: top.id,
    because: whyNotAnswer(top, desk) ?? "Another setting serves the goal better.",
  };
}

/** The higher clock, at the lower voltage, for longer. */
const isHigher = (one: EvidenceRow, other: EvidenceRow): boolean =>
  (one.clockMhz - other.clockMhz || other.voltageMv - one.voltageMv || one.durationS - other.durationS) > 0;

/** Why a pass is not good enough to be the answer, by its longest run there; null where it is. */
export function whyNotAnswer(row: EvidenceRow, desk: BestDesk): string | null {
  const { draws, evidence, question } = desk;
  const setting = { clockMhz: row.clockMhz, voltageMv: row.voltageMv };
  const against = contesting(evidence.failures, setting);
  if (against?.clockMhz === setting.clockMhz && against.voltageMv === setting.voltageMv)
    return `Another run there: ${outcomeWords[against.row.outcome]}.`;
  if (against !== undefined)
    return `${clockWords(against.clockMhz, question.chip.clockUnit)} at ${volts(against.voltageMv)}, which is no harder: ${outcomeWords[against.row.outcome]}.`;
  const found = chanceOfHours(draws, setting, evidence.wanted.hours);
  if (found < evidence.wanted.chance) return passesTooSeldom(found, evidence.wanted);
  if (evidence.proven.longestS(setting) < provenFromS) return ranTooShort;
  return objectionTo({ ...setting, voltageMv: setting.voltageMv + evidence.warmth.guardMv }, desk);
}

/** Why a setting will not do whatever it passes, or null; its voltage as it is told, a guard in it. */
export function objectionTo(
  { clockMhz, voltageMv }: Setting,
  { highestMv, evidence }: BestDesk,
): string | null {
  if (voltageMv <= highestMv) return heatObjectionTo(evidence.warmth, { clockMhz, voltageMv });
  const told = evidence.warmth.guardMv > 0 ? `${volts(voltageMv)}, the guard in it,` : volts(voltageMv);
  return `${told} is ${evidence.bounds.voltageBecause || "above the highest voltage tried"}.`;
}
