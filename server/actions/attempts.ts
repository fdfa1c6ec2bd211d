import { type Attempt, type AttemptDraft, type AttemptEdit, attemptOf } from "../bench/things/attempt.ts";
import type { KeptFields } from "../bench/things/attemptFields.ts";
import { assertBegun, attemptFrom, draftOf } from "../bench/things/attemptFrom.ts";
import { type Build, partsOf } from "../bench/things/build.ts";
import type { Chip } from "../bench/things/chip.ts";
import type { Heartbeat, HeartbeatDraft } from "../bench/things/heartbeat.ts";
import { knobsChosen } from "../bench/things/knob.ts";
import { conflict, invalid } from "../bench/things/refusal.ts";
import { ceilingPassed, settingRefusals } from "../bench/things/settingRules.ts";
import type { At } from "./context.ts";
import { assertVersion, found, isAsItWas, newKept, restored } from "./keeping.ts";
import { footingsOn, standOn } from "./standing.ts";

/** Records an attempt, armed or ended. An armed one is on the disk before this is acknowledged. */
export function recordAttempt(buildId: string, draft: AttemptDraft, at: At): Attempt {
  const { journal, now } = at;
  const build = found(journal.builds.find(buildId), "build");
  const reading = readingOn(build, draft, at);
  assertBegun(reading.startedAt, now);
  assertWorkload(reading, at);
  assertSettable(build, reading, at);
  assertCeiling(build, reading, at);
  if (reading.outcome === "running") assertNoneRunning(buildId, at);
  const attempt = attemptOf(reading, {
    ...newKept(at),
    buildId,
    mountId: journal.mounts.at(buildId, reading.startedAt),
    setAside: null,
    asBuilt: partsOf(build),
  });
  journal.attempts.put(attempt, attempt, journal.builds.stateOf(build));
  return attempt;
}

/** Ends an attempt or corrects one; what it was before is kept. */
export function editAttempt(id: string, edit: AttemptEdit, version: number | null, at: At): Attempt {
  const current = found(at.journal.attempts.find(id), "attempt");
  assertVersion(current, version, edit);
  if (edit.toldBy === "attendant" && current.outcome !== "running")
    throw conflict("How this attempt ended has been said already; that stands.");
  return changeAttempt(current, edit, at);
}

/** The same without asking who says it: an undoing brings back what the machine had told. */
export function changeAttempt(current: Attempt, edit: AttemptEdit, at: At): Attempt {
  const { journal, now } = at;
  const { id } = current;
  const build = found(journal.builds.find(current.buildId), "build");
  const chip = found(journal.chips.find(build.chipId), "chip");
  const reading = readingOn(build, editedDraft(current, edit, chip), at);
  assertWorkload(reading, at);
  if (reading.startedAt !== current.startedAt) assertBegun(reading.startedAt, now);
  if (isSetOtherwise(reading, current)) {
    assertSettable(build, reading, at);
    assertCeiling(build, reading, at);
  }
  if (reading.outcome === "running" && current.outcome !== "running") assertNoneRunning(build.id, at);
  if (isAsItWas<Attempt>(current, reading)) return current;
  journal.attempts.replace(
    id,
    {
      ...reading,
      buildId: build.id,
      mountId: journal.mounts.at(build.id, reading.startedAt),
      setAside: current.setAside,
    },
    journal.attempts.stateIdOf(id) ?? journal.builds.stateOf(build),
    now,
  );
  const edited = found(journal.attempts.find(id), "attempt");
  if (edited.outcome !== "running") journal.interrupted.delete(id);
  return edited;
}

/**
 * What lies above a ceiling otherwise than before needs its own permission; an outcome set back to running has no
 * duration; of errors told anew by place the sum follows.
 */
function editedDraft(current: Attempt, edit: AttemptEdit, chip: Chip): AttemptDraft {
  return {
    ...draftOf(current),
    ...(isAboveOtherwise(current, edit, chip) && { aboveCeiling: false }),
    ...(edit.outcome === "running" && { durationS: null, toldBy: null }),
    // Whoever says otherwise than the machine is the one who tells it.
    ...(isToldOtherwise(current, edit) && { toldBy: "tester" as const }),
    ...edit,
    ...(isSumLeft(current, edit) && { correctedErrors: null }),
  } as AttemptDraft;
}

function isAboveOtherwise(current: Attempt, { voltageMv, knobs }: AttemptEdit, chip: Chip): boolean {
  const { voltageMv: wasMv, knobs: stood } = current;
  const edited = {
    voltageMv: voltageMv === undefined ? wasMv : voltageMv,
    knobs: knobs === undefined ? stood : knobs,
  };
  return ceilingPassed(edited, chip)?.words !== ceilingPassed(current, chip)?.words;
}

const isSumLeft = (current: Attempt, { correctedErrors, correctedErrorsAt }: AttemptEdit): boolean =>
  correctedErrorsAt != null &&
  (correctedErrors === undefined || correctedErrors === current.correctedErrors) &&
  JSON.stringify(correctedErrorsAt) !== JSON.stringify(current.correctedErrorsAt);

const isToldOtherwise = ({ outcome, toldBy }: Attempt, edit: AttemptEdit): boolean =>
  toldBy === "attendant" && edit.outcome !== undefined && edit.outcome !== outcome;

function assertWorkload(reading: KeptFields, { journal }: At): void {
  if (!journal.workloads.find(reading.workloadId))
    throw invalid("There is no such load.", { workloadId: "There is no such load." });
}

const setFields = ["clockMhz", "voltageMv", "offset", "offsets", "part", "crashPart", "knobs"] as const;

/** What an attempt was set to long ago stands, whatever has become of its chip since. */
const isSetOtherwise = (reading: KeptFields, current: KeptFields): boolean =>
  setFields.some((name) => JSON.stringify(reading[name]) !== JSON.stringify(current[name]));

/** As its chip has its knobs, which choices may be sent as numbers. */
function readingOn({ chipId }: Build, draft: AttemptDraft, { journal, now }: At): KeptFields {
  const reading = attemptFrom(draft, now);
  const chip = found(journal.chips.find(chipId), "chip");
  return { ...reading, knobs: knobsChosen(reading.knobs, chip.knobs) };
}

function assertSettable(build: Build, reading: KeptFields, { journal }: At): void {
  const chip = found(journal.chips.find(build.chipId), "chip");
  const refused = settingRefusals(reading, chip);
  const [first] = Object.values(refused);
  if (first !== undefined) throw invalid(first, refused);
}

function assertCeiling(build: Build, reading: KeptFields, { journal }: At): void {
  const chip = found(journal.chips.find(build.chipId), "chip");
  const passed = ceilingPassed(reading, chip);
  if (passed === null || reading.aboveCeiling) return;
  const instead = "ceilingMv" in passed.details ? "a lower voltage" : "less";
  throw conflict(`${passed.words}. Confirm that this is meant, or choose ${instead}.`, passed.details);
}

function assertNoneRunning(buildId: string, { journal }: At): void {
  const running = journal.attempts.runningOf(buildId);
  if (!running) return;
  const how = journal.interrupted.has(running.id)
    ? "An attempt of this build was interrupted; say how it ended first."
    : "An attempt of this build is running; end it first.";
  throw conflict(how, { runningId: running.id });
}

/** Takes an attempt out of every answer, visibly. */
export const setAsideAttempt = (id: string, reason: string, at: At): Attempt =>
  withSetAside(id, { reason, at: at.now }, at);

export const putBackAttempt = (id: string, at: At): Attempt => withSetAside(id, null, at);

function withSetAside(id: string, setAside: Attempt["setAside"], at: At): Attempt {
  const { journal, now } = at;
  const current = found(journal.attempts.find(id), "attempt");
  if (current.outcome === "running") throw conflict("This attempt is still running; end it first.");
  if (current.setAside?.reason === setAside?.reason) return current;
  const stateId = journal.attempts.stateIdOf(id) ?? 0;
  journal.attempts.replace(id, { ...current, setAside }, stateId, now);
  return found(journal.attempts.find(id), "attempt");
}

export function removeAttempt(id: string, version: number | null, { journal, now }: At): void {
  assertVersion(found(journal.attempts.find(id), "attempt"), version, null);
  journal.attempts.remove(id, now);
}

export function restoreAttempt(id: string, at: At): Attempt {
  const gone = at.journal.attempts.findDeleted(id);
  if (gone?.outcome === "running") assertNoneRunning(gone.buildId, at);
  return restored(at.journal.attempts, id, "attempt", at, (attempt) =>
    standOn(footingsOn(attempt), at.journal),
  );
}

/** Keeps how far a running attempt got. One that is known already may arrive again, also after the end. */
export function keepHeartbeat(id: string, draft: HeartbeatDraft, { journal, now }: At): void {
  const attempt = found(journal.attempts.find(id), "attempt");
  const from = draft.from ?? "machine";
  if (attempt.outcome !== "running") {
    const last = journal.attempts.lastHeartbeat(id, from);
    if (last !== undefined && draft.elapsedS <= last.elapsedS) return;
    throw conflict("This attempt has ended; nothing more is kept of it.");
  }
  const beat: Heartbeat = {
    elapsedS: draft.elapsedS,
    at: now,
    from,
    seq: draft.seq ?? null,
    tempC: draft.tempC ?? null,
    powerW: draft.powerW ?? null,
    loadVoltageMv: draft.loadVoltageMv ?? null,
    clockMhz: draft.clockMhz ?? null,
    correctedErrors: draft.correctedErrors ?? null,
    bootId: draft.bootId ?? null,
  };
  journal.attempts.beat(id, beat);
}

/** The tester says that an attempt found running at start-up is in fact still running. */
export function takeUpAgain(id: string, { journal }: At): Attempt {
  const attempt = found(journal.attempts.find(id), "attempt");
  if (attempt.outcome !== "running") throw conflict("This attempt has ended.");
  journal.interrupted.delete(id);
  return attempt;
}
