import type { Attempt, AttemptDraft } from "./attempt.ts";
import { isCrash, neverStarted } from "./outcome.ts";
import { type FieldRefusals, invalid } from "./refusal.ts";
import type { Kept } from "./thing.ts";

/** What is known of an attempt from what was sent; where it belongs is settled by whoever records it. */
export type AttemptReading = Omit<Attempt, keyof Kept | "buildId" | "mountId" | "asBuilt" | "setAside">;

/** A draft whole and without contradiction, with the usual values; thrown back with words where it is not. */
export function attemptFrom(draft: AttemptDraft, now: string): AttemptReading {
  const refused = contradictionsIn(draft);
  const [first] = Object.values(refused);
  if (first !== undefined) throw invalid(first, refused);
  return {
    workloadId: draft.workloadId,
    clockMhz: draft.clockMhz,
    voltageMv: draft.voltageMv,
    outcome: draft.outcome,
    durationS: draft.durationS ?? null,
    startedAt: draft.startedAt ?? startOf(draft, now),
    plannedS: draft.plannedS ?? null,
    ambientC: draft.ambientC ?? null,
    loadTempC: draft.loadTempC ?? null,
    peakTempC: draft.peakTempC ?? null,
    startTempC: draft.startTempC ?? null,
    supplyTempC: draft.supplyTempC ?? null,
    loadVoltageMv: draft.loadVoltageMv ?? null,
    voltageReadAt: draft.voltageReadAt ?? null,
    loadLine: draft.loadLine ?? null,
    currentA: draft.currentA ?? null,
    powerW: draft.powerW ?? null,
    powerAt: draft.powerAt ?? null,
    fanRpm: draft.fanRpm ?? null,
    fanMode: draft.fanMode ?? null,
    effectiveClockMhz: draft.effectiveClockMhz ?? null,
    throttled: draft.throttled ?? null,
    correctedErrors: draft.correctedErrors ?? null,
    startKind: draft.startKind ?? null,
    clockMode: draft.clockMode ?? null,
    alsoSet: draft.alsoSet ?? [],
    score: draft.score ?? null,
    note: draft.note ?? "",
    tags: draft.tags ?? [],
    failedFromS: draft.failedFromS ?? null,
    failedToS: draft.failedToS ?? null,
    aboveCeiling: draft.aboveCeiling ?? false,
  };
}

/** An attempt that has ended began its duration ago; one that is armed begins now. */
const startOf = (draft: AttemptDraft, now: string): string =>
  new Date(Date.parse(now) - (draft.durationS ?? 0) * 1000).toISOString();

function contradictionsIn(draft: AttemptDraft): FieldRefusals {
  const refused: Record<string, string> = {};
  const running = draft.outcome === "running";
  if (running && draft.durationS != null)
    refused.durationS = "A running attempt has no duration yet; leave it out.";
  if (!running && draft.durationS == null) refused.durationS = "Say how long it ran, in seconds.";
  if (draft.outcome === "pass" && draft.plannedS != null && (draft.durationS ?? 0) < draft.plannedS)
    refused.durationS = `A pass runs as long as it was planned (${draft.plannedS} s). Shorter, without a fault, it is "stopped".`;
  Object.assign(refused, windowContradictions(draft));
  if (draft.loadTempC != null && draft.peakTempC != null && draft.peakTempC < draft.loadTempC)
    refused.peakTempC = "The peak cannot lie below the load temperature.";
  return refused;
}

/** A crash found later may say between which two times it happened. */
function windowContradictions({ outcome, failedFromS, failedToS, durationS }: AttemptDraft): FieldRefusals {
  if (failedFromS == null && failedToS == null) return {};
  if (!isCrash(outcome) || neverStarted(outcome))
    return { failedFromS: "Only a crash under load has a time at which it failed." };
  if (failedFromS == null)
    return { failedFromS: "Give both ends of the time in which it failed, or neither." };
  if (failedToS == null) return { failedToS: "Give both ends of the time in which it failed, or neither." };
  if (failedFromS > failedToS)
    return { failedToS: "The latest time of the failure lies before the earliest." };
  if (durationS != null && failedToS > durationS)
    return { failedToS: "It cannot have failed later than it ran." };
  return {};
}

/** The draft that would record an attempt as it stands, so that an edit can be laid over it and checked whole. */
export function draftOf(attempt: Attempt): AttemptDraft {
  const {
    id: _id,
    createdAt: _created,
    updatedAt: _updated,
    version: _version,
    buildId: _build,
    mountId: _mount,
    setAside: _aside,
    asBuilt: _parts,
    ...draft
  } = attempt;
  return { ...draft, alsoSet: [...attempt.alsoSet], tags: [...attempt.tags] };
}
