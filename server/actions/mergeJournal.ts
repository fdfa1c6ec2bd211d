import type { DocumentAttempt, DocumentPicture, JournalDocument } from "../bench/document/journalDocument.ts";
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
import type { At } from "./context.ts";
import { newKept } from "./keeping.ts";
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
export function mergeJournal(document: JournalDocument, at: At): MergeResult {
  assertReferences(document, at);
  const { journal } = at;
  const tally: Tally = { added: 0, updated: 0, unchanged: 0, conflicts: [] };
  const named = ({ name }: { name: string }) => name;
  mergeAll({ kind: "chip", store: journal.chips, fields: chipFrom, nameOf: named }, document.chips, tally);
  mergeAll(
    { kind: "board", store: journal.boards, fields: boardFrom, nameOf: named },
    document.boards,
    tally,
  );
  mergeAll(
    { kind: "workload", store: journal.workloads, fields: workloadFrom, nameOf: named },
    document.workloads,
    tally,
  );
  mergeAll({ kind: "rule", store: journal.rules, fields: ruleFrom, nameOf: named }, document.rules, tally);
  mergeAll(
    { kind: "build", store: journal.builds, fields: buildFrom, nameOf: named },
    document.builds,
    tally,
  );
  mergeAll(
    { kind: "mount", store: journal.mounts, fields: mountFields, nameOf: () => "mount" },
    document.mounts,
    tally,
  );
  mergeAll(
    { kind: "noise", store: journal.noise, fields: noiseFields, nameOf: () => "noise reading" },
    document.noise,
    tally,
  );
  for (const { id } of document.builds) ensureMount(id, at);
  mergeAttempts(document.attempts, tally, at);
  for (const id of buildsTouched(document)) journal.mounts.assignAgain(id);
  mergePictures(document.pictures, tally, at);
  mergeOwnWords(document.writeUpWords, tally, at);
  mergeTraces(document, tally, at);
  return tally;
}

type DocumentMount = JournalDocument["mounts"][number];
const mountFields = (mount: DocumentMount) => ({
  buildId: mount.buildId,
  ...mountFrom({ ...mount, mountedAt: mount.mountedAt ?? null }),
});

const noiseFields = (reading: JournalDocument["noise"][number]) => ({
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
  things: readonly Kept[],
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
  const deleted = store.findDeleted(theirs.id);
  if (deleted !== undefined) {
    store.restore(theirs.id);
    note("theirs", "It was deleted here; the import brought it back.");
  }
  const here = store.find(theirs.id);
  if (here === undefined) {
    store.put(theirs, wanted);
    tally.added += 1;
    return true;
  }
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

function mergeAttempts(attempts: readonly DocumentAttempt[], tally: Tally, at: At): void {
  const { journal, now } = at;
  const states = stateFinder(at);
  const mountOf = new Map(attempts.map(({ id, mountId }) => [id, mountId]));
  const whole = (kept: Kept, fields: AttemptFields) => ({
    ...fields,
    mountId: mountOf.get(kept.id) ?? "",
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
    if (runsElsewhere(attempt, tally, at)) continue;
    const wanted = merging.fields({ history: null, ...attempt } as never);
    if (mergeOne(merging, attempt, wanted, tally)) followUp(attempt, at);
  }
}

/** An ending makes room for the attempt that was armed after it. */
const endedFirst = (attempts: readonly DocumentAttempt[]): DocumentAttempt[] =>
  [...attempts].sort((a, b) => Number(a.outcome === "running") - Number(b.outcome === "running"));

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
function mergePictures(sent: readonly DocumentPicture[], tally: Tally, { journal }: At): void {
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
function mergeOwnWords(sent: JournalDocument["writeUpWords"], tally: Tally, { journal }: At): void {
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

function ensureMount(buildId: string, at: At): void {
  if (at.journal.mounts.countOf(buildId) > 0) return;
  at.journal.mounts.put(newKept(at), { buildId, ...mountFrom({ mountedAt: null }) });
}

const buildsTouched = ({ mounts, attempts }: JournalDocument): Set<string> =>
  new Set([...mounts, ...attempts].map(({ buildId }) => buildId));

/** Everything named is in the document or in the journal; else nothing is taken. */
function assertReferences(document: JournalDocument, { journal }: At): void {
  const has = (kind: "chips" | "boards" | "workloads" | "rules" | "builds" | "mounts") => {
    const sent = new Set(document[kind].map(({ id }) => id));
    return (id: string | null | undefined) =>
      id == null || sent.has(id) || journal[kind].find(id) !== undefined;
  };
  const [chip, board, workload, rule] = [has("chips"), has("boards"), has("workloads"), has("rules")];
  const [build, mount] = [has("builds"), has("mounts")];
  const assert = (known: boolean, what: string) => {
    if (!known)
      throw invalid(`The export is incomplete: ${what} that is neither in it nor here. Nothing was changed.`);
  };
  for (const { name, requires } of document.rules)
    for (const { workloadId } of requires)
      assert(workload(workloadId), `the rule "${name}" names a workload`);
  for (const one of document.builds) {
    assert(chip(one.chipId), `the build "${one.name}" names a chip`);
    assert(board(one.boardId), `the build "${one.name}" names a board`);
    assert(rule(one.ruleId), `the build "${one.name}" names a rule`);
    assert(build(one.basedOn), `the build "${one.name}" is based on a build`);
  }
  for (const { buildId } of [...document.mounts, ...document.noise, ...document.attempts])
    assert(build(buildId), "a mount, noise reading or attempt belongs to a build");
  for (const { workloadId } of [...document.noise, ...document.attempts])
    assert(workload(workloadId), "an attempt or noise reading names a workload");
  for (const { mountId } of document.attempts) assert(mount(mountId), "an attempt names a mount");
  const attempts = new Set(document.attempts.map(({ id }) => id));
  const attempt = (id: string | null | undefined) =>
    id == null || attempts.has(id) || journal.attempts.find(id) !== undefined;
  for (const { attemptId } of document.traces) assert(attempt(attemptId), "a trace belongs to an attempt");
  for (const { buildId, mountId, attemptId } of document.pictures)
    assert(
      build(buildId) && mount(mountId) && attempt(attemptId),
      "a picture is of a build, mount or attempt",
    );
}
