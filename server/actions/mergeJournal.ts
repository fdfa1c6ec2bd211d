import type {
  DocumentAttempt,
  DocumentPicture,
  DocumentSection,
  DocumentThing,
} from "../bench/document/journalDocument.ts";
import { standingOf } from "../bench/document/twoAccounts.ts";
import type { Picture } from "../bench/pictures/picture.ts";
import { pictureBytesOf } from "../bench/pictures/pictureBytes.ts";
import type { Attempt } from "../bench/things/attempt.ts";
import { attemptFrom, draftOf } from "../bench/things/attemptFrom.ts";
import { boardFrom } from "../bench/things/board.ts";
import { buildFrom, mountFrom, type Parts, partsOf } from "../bench/things/build.ts";
import { chipFrom } from "../bench/things/chip.ts";
import { invalid } from "../bench/things/refusal.ts";
import { ruleFrom } from "../bench/things/rule.ts";
import type { Kept } from "../bench/things/thing.ts";
import { workloadFrom } from "../bench/things/workload.ts";
import type { StagedDocument } from "../store/file/stagedDocument.ts";
import { standsOn } from "./builds.ts";
import type { At } from "./context.ts";
import { found, newKept } from "./keeping.ts";
import { assertHere, type Reference, referencesOutside } from "./mergeReferences.ts";
import { mergeTraces } from "./mergeTraces.ts";

export type MergeConflict = Readonly<{
  kind: string;
  id: string;
  name: string;
  /** Whose account the journal holds now. */
  kept: "here" | "theirs";
  because: string;
}>;

export type MergeResult = Readonly<{
  added: number;
  updated: number;
  unchanged: number;
  conflicts: readonly MergeConflict[];
}>;

type Tally = { added: number; updated: number; unchanged: number; conflicts: MergeConflict[] };

type MergeStore<Thing extends Kept, Fields> = Readonly<{
  /** Whether it is here, deleted or not; asked first, since most of what comes is new. */
  holds(id: string): boolean;
  find(id: string): Thing | undefined;
  findDeleted(id: string): Thing | undefined;
  put(kept: Kept, fields: Fields): void;
  overwrite(kept: Kept, fields: Fields): void;
  restore(id: string): void;
}>;

type Merging<Thing extends Kept, Fields> = Readonly<{
  kind: string;
  store: MergeStore<Thing, Fields>;
  /** What is compared and written of a thing. */
  fields(thing: never): Fields;
  nameOf(thing: never): string;
}>;

/**
 * Takes another journal into this one: what is not here is added, of what both hold the newest edit stands, and where
 * both were edited apart the answer says so. What was deleted here within the day comes back.
 */
export function mergeJournal(
  document: StagedDocument,
  at: At,
  outside: readonly Reference[] = referencesOutside(document),
): MergeResult {
  assertHere(outside, at);
  const { journal } = at;
  const { chips, boards, workloads, rules, builds, mounts, noise } = journal;
  const tally: Tally = { added: 0, updated: 0, unchanged: 0, conflicts: [] };
  const all = <Section extends DocumentSection, Thing extends Kept, Fields>(
    section: Section,
    kind: string,
    store: MergeStore<Thing, Fields>,
    fields: (thing: never) => Fields,
    nameOf: (thing: never) => string = ({ name }: { name: string }) => name,
  ) => mergeAll({ kind, store, fields, nameOf }, document.things(section) as Iterable<Kept>, tally);
  all("chips", "chip", chips, chipFrom);
  all("boards", "board", boards, boardFrom);
  all("workloads", "workload", workloads, workloadFrom);
  all("rules", "rule", rules, ruleFrom);
  all("builds", "build", builds, buildFrom);
  all("mounts", "mount", mounts, mountFields, () => "mount");
  all("noise", "noise reading", noise, noiseFields, () => "noise reading");
  for (const { id } of document.things("builds")) {
    ensureMount(id, at);
    assertFirst(id, at);
  }
  const touched = mergeAttempts(document.things("attempts"), tally, at);
  for (const { buildId } of document.things("mounts")) touched.add(buildId);
  for (const id of touched) mounts.assignAgain(id);
  mergePictures(document.things("pictures"), tally, at);
  mergeOwnWords(document.things("writeUpWords"), tally, at);
  mergeTraces(document, tally, at);
  return tally;
}

const mountFields = (mount: DocumentThing<"mounts">) => ({
  buildId: mount.buildId,
  ...mountFrom({ ...mount, mountedAt: mount.mountedAt ?? null }),
});

const noiseFields = (reading: DocumentThing<"noise">) => ({
  buildId: reading.buildId,
  workloadId: reading.workloadId ?? null,
  clockMhz: reading.clockMhz ?? null,
  voltageMv: reading.voltageMv ?? null,
  distanceM: reading.distanceM,
  levelsDba: reading.levelsDba,
  backgroundDba: reading.backgroundDba ?? null,
  takenAt: reading.takenAt,
  note: reading.note ?? "",
});

function mergeAll<Thing extends Kept, Fields>(
  merging: Merging<Thing, Fields>,
  things: Iterable<Kept>,
  tally: Tally,
): void {
  for (const thing of things) mergeOne(merging, thing, merging.fields(thing as never), tally);
}

/** Says whether their account was written. */
function mergeOne<Thing extends Kept, Fields>(
  { kind, store, fields, nameOf }: Merging<Thing, Fields>,
  theirs: Kept,
  wanted: Fields,
  tally: Tally,
): boolean {
  const note = (kept: "here" | "theirs", because: string) =>
    tally.conflicts.push({ kind, id: theirs.id, name: nameOf(theirs as never), kept, because });
  if (!store.holds(theirs.id)) {
    store.put(theirs, wanted);
    tally.added += 1;
    return true;
  }
  const deleted = store.findDeleted(theirs.id);
  if (deleted !== undefined) {
    store.restore(theirs.id);
    note("theirs", "It was deleted here; the import brought it back.");
  }
  const here = found(store.find(theirs.id), kind);
  if (JSON.stringify(fields(here as never)) === JSON.stringify(wanted)) {
    tally[deleted ? "updated" : "unchanged"] += 1;
    return false;
  }
  const { kept, apart } = standingOf(here, theirs);
  if (apart) note(kept, apartWords(here, theirs));
  tally[kept === "theirs" ? "updated" : "unchanged"] += 1;
  if (kept === "theirs") store.overwrite(theirs, wanted);
  return kept === "theirs";
}

const apartWords = (here: Kept, theirs: Kept): string =>
  here.updatedAt === theirs.updatedAt
    ? "Both were edited at the same moment; the one here stays."
    : "Both were edited apart; the newer edit stands.";

type AttemptFields = ReturnType<typeof attemptFrom> &
  Readonly<{ buildId: string; setAside: Attempt["setAside"]; asBuilt: Parts }>;

/** The mount is left out: it follows from the time. */
const attemptFields =
  (now: string) =>
  (attempt: DocumentAttempt | Attempt): AttemptFields => ({
    ...attemptFrom("history" in attempt ? draftIn(attempt) : draftOf(attempt as Attempt), now),
    buildId: attempt.buildId,
    setAside: attempt.setAside ? { reason: attempt.setAside.reason, at: attempt.setAside.at } : null,
    asBuilt: partsOf(attempt.asBuilt),
  });

function draftIn({ history: _edits, ...attempt }: DocumentAttempt) {
  return draftOf({ alsoSet: [], tags: [], ...attempt } as unknown as Attempt);
}

/** Gives the builds whose attempts they are. */
function mergeAttempts(attempts: Iterable<DocumentAttempt>, tally: Tally, at: At): Set<string> {
  const { journal, now } = at;
  const states = stateFinder(at);
  const builds = new Set<string>();
  const whole = (kept: Kept, fields: AttemptFields) => ({
    ...fields,
    mountId: (kept as DocumentAttempt).mountId,
    stateId: states(fields.buildId, fields.asBuilt),
  });
  const merging: Merging<Attempt, AttemptFields> = {
    kind: "attempt",
    store: {
      ...journal.attempts,
      put: (kept, fields) => journal.attempts.put(kept, whole(kept, fields)),
      overwrite: (kept, fields) => journal.attempts.overwrite(kept, whole(kept, fields)),
    },
    fields: attemptFields(now) as (thing: never) => AttemptFields,
    nameOf: ({ clockMhz, voltageMv }: Attempt) => `${clockMhz} MHz at ${voltageMv / 1000} V`,
  };
  for (const attempt of endedFirst(attempts)) {
    builds.add(attempt.buildId);
    if (runsElsewhere(attempt, tally, at)) continue;
    const wanted = merging.fields({ history: null, ...attempt } as never);
    if (mergeOne(merging, attempt, wanted, tally)) followUp(attempt, at);
  }
  return builds;
}

/** An ending makes room for the attempt that was armed after it. */
function* endedFirst(attempts: Iterable<DocumentAttempt>): Generator<DocumentAttempt> {
  const running: DocumentAttempt[] = [];
  for (const attempt of attempts)
    if (attempt.outcome === "running") running.push(attempt);
    else yield attempt;
  yield* running;
}

/** Only one attempt of a build runs at a time: with one running here, theirs is left out. */
function runsElsewhere(attempt: DocumentAttempt, tally: Tally, { journal }: At): boolean {
  if (attempt.outcome !== "running") return false;
  const running = journal.attempts.runningOf(attempt.buildId);
  if (running === undefined || running.id === attempt.id) return false;
  const because = "Another attempt of this build is running here; end it, then import again.";
  const name = `${attempt.clockMhz} MHz at ${attempt.voltageMv / 1000} V`;
  tally.conflicts.push({ kind: "attempt", id: attempt.id, name, kept: "here", because });
  tally.unchanged += 1;
  return true;
}

/** Brings the edits along that are not known here. What still ran elsewhere is asked about like after a crash. */
function followUp({ id, history, outcome }: DocumentAttempt, { journal }: At): void {
  if (history && history.length > 0) {
    const known = new Set(journal.attempts.editsOf(id).map((edit) => JSON.stringify(edit)));
    for (const edit of history)
      if (!known.has(JSON.stringify(edit))) journal.attempts.noteEdit(id, edit.changes, edit.at);
  }
  if (outcome === "running") journal.interrupted.add(id);
  else journal.interrupted.delete(id);
}

type PictureFields = Omit<Picture, keyof Kept>;

/** A picture never changes, only what is said of it. One from elsewhere is cleaned like one that is sent. */
function mergePictures(sent: Iterable<DocumentPicture>, tally: Tally, { journal }: At): void {
  const { pictures } = journal;
  for (const theirs of sent) {
    const { bytes, ...image } = pictureBytesOf(Buffer.from(theirs.image, "base64"));
    const fields = ({ buildId, mountId, attemptId, caption }: Picture | DocumentPicture): PictureFields => ({
      ...{ buildId, mountId: mountId ?? null, attemptId: attemptId ?? null, caption },
      ...{ ...image, sizeBytes: bytes.length },
    });
    const put = (kept: Kept, wanted: PictureFields) => {
      pictures.put(kept, wanted);
      pictures.keepImage(kept.id, bytes);
    };
    const nameOf = ({ caption }: DocumentPicture) => caption || "picture";
    mergeOne({ kind: "picture", store: { ...pictures, put }, fields, nameOf }, theirs, fields(theirs), tally);
  }
}

/** The newest words stand; they have no history to have parted from. */
function mergeOwnWords(sent: Iterable<DocumentThing<"writeUpWords">>, tally: Tally, { journal }: At): void {
  const here = new Map(journal.writeUpWords.all().map((own) => [`${own.builds} ${own.slot}`, own]));
  for (const theirs of sent) {
    const known = here.get(`${theirs.builds} ${theirs.slot}`);
    if (known && known.updatedAt >= theirs.updatedAt) {
      tally.unchanged += 1;
      continue;
    }
    journal.writeUpWords.keep(theirs);
    tally[known ? "updated" : "added"] += 1;
  }
}

/** The state of a build with these parts, found among those known before a new one is written. */
function stateFinder({ journal }: At): (buildId: string, parts: Parts) => number {
  const known = new Map<string, number>();
  const looked = new Set<string>();
  return (buildId, parts) => {
    if (!looked.has(buildId)) {
      for (const [state, of] of journal.builds.statesOf(buildId))
        known.set(`${buildId}${JSON.stringify(of)}`, state);
      looked.add(buildId);
    }
    const key = `${buildId}${JSON.stringify(parts)}`;
    const state = known.get(key) ?? journal.builds.stateOf({ id: buildId, ...parts });
    known.set(key, state);
    return state;
  };
}

function assertFirst(buildId: string, at: At): void {
  const build = found(at.journal.builds.find(buildId), "build");
  if (build.basedOn !== null && standsOn(buildId, build.basedOn, at))
    throw invalid(`The build "${build.name}" would be based on itself. Nothing was changed.`);
}

function ensureMount(buildId: string, at: At): void {
  if (at.journal.mounts.countOf(buildId) > 0) return;
  at.journal.mounts.put(newKept(at), { buildId, ...mountFrom({ mountedAt: null }) });
}
