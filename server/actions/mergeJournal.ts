import { isDeleted } from "../bench/document/account.ts";
import { accountIn } from "../bench/document/accountInDocument.ts";
import type {
  DocumentAttempt,
  DocumentPicture,
  DocumentSection,
  DocumentThing,
} from "../bench/document/journalDocument.ts";
import { blankParts, type MergedList } from "../bench/document/registers.ts";
import { stampOf } from "../bench/document/stamp.ts";
import { pictureBytesOf } from "../bench/pictures/pictureBytes.ts";
import type { Attempt } from "../bench/things/attempt.ts";
import { attemptFrom, draftOf } from "../bench/things/attemptFrom.ts";
import { boardFrom } from "../bench/things/board.ts";
import { buildFrom, mountFrom, type Parts, partsOf } from "../bench/things/build.ts";
import { chipFrom } from "../bench/things/chip.ts";
import { ruleFrom, sinceAlways } from "../bench/things/rule.ts";
import { type AsSet, asSetWords } from "../bench/things/setting.ts";
import type { Kept } from "../bench/things/thing.ts";
import { versionFrom } from "../bench/things/version.ts";
import { workloadFrom } from "../bench/things/workload.ts";
import type { Journal } from "../store/file/journal.ts";
import type { StagedDocument } from "../store/file/stagedDocument.ts";
import type { EarlierWords, StampedWords } from "../store/parts/writeUpWords.ts";
import { dropHanging } from "./blanking.ts";
import type { At } from "./context.ts";
import { mergeGaveWay } from "./gaveWay.ts";
import { breakCircles } from "./mergeCircles.ts";
import { assertHere, type Reference, referencesOutside } from "./mergeReferences.ts";
import { type MergeResult, newTally, noteBefore, type Tally } from "./mergeTally.ts";
import {
  ensureMount,
  type MergeStore,
  type Merging,
  mergeOne,
  raise,
  settleStanding,
} from "./mergeThings.ts";
import {
  type Hangings,
  mayHang,
  mergeOutputs,
  mergeTraces,
  noteVerdict,
  type Verdicts,
} from "./mergeTraces.ts";
import { keepUndoable } from "./undoMerge.ts";

/**
 * Takes another journal into this one: what is not here is added, of each field that both hold the latest writing
 * stands, and what was written apart is told. However often journals are taken into one another, and in whatever order,
 * they end up holding the same.
 */
export function mergeJournal(
  document: StagedDocument,
  at: At,
  outside: readonly Reference[] = referencesOutside(document),
): MergeResult {
  assertHere(outside, at);
  return at.journal.scrubbing(() => mergedWith(document, at));
}

function mergedWith(document: StagedDocument, at: At): MergeResult {
  const tally = newTally();
  mergeParts(document, tally, at);
  // Before their attempts, which are held against what these say of their parts.
  for (const [list, id] of tally.blanked) if (list === "builds") at.journal.builds.blankStates(id);
  const merged = mergeAttempts(document.things("attempts"), tally, at);
  const { builds } = merged;
  for (const { id } of document.things("builds")) builds.add(id);
  for (const { buildId } of document.things("mounts")) builds.add(buildId);
  for (const buildId of builds) raiseMountsUsed(buildId, tally, at);
  settleStanding(builds, at, tally);
  breakCircles(builds, tally, at);
  mergePictures(document.things("pictures"), tally, at);
  mergeOwnWords(document.things("writeUpWords"), tally, at);
  mergeEarlierWords(document.things("earlierWords"), tally, at);
  mergeOutputs(document, merged, tally, at);
  mergeTraces(document, merged, tally, at);
  mergeGaveWay(document, (attemptId) => mayHang(attemptId, at.journal), tally, at);
  for (const [list, id] of tally.blanked) dropHanging(list, id, at);
  const { added, updated, unchanged, conflicts } = tally;
  keepUndoable(tally, { added, updated }, at);
  return { added, updated, unchanged, conflicts };
}

function mergeParts(document: StagedDocument, tally: Tally, at: At): void {
  const { chips, boards, workloads, rules, builds, mounts, versions, noise } = at.journal;
  const all = <Section extends MergedList & DocumentSection>(
    list: Section,
    kind: string,
    store: MergeStore,
    fields: (thing: DocumentThing<Section>) => object,
  ) => {
    const nameOf = ({ name }: Readonly<Record<string, unknown>>) => (name as string | undefined) ?? kind;
    const merging: Merging = { list, kind, store, nameOf };
    for (const thing of document.things(list))
      mergeOne(merging, accountIn(list, thing as Kept, { ...fields(thing) }), tally);
  };
  all("chips", "chip", chips, chipFrom);
  all("boards", "board", boards, boardFrom);
  all("workloads", "workload", workloads, workloadFrom);
  for (const rule of document.things("rules"))
    mergeOne(
      { list: "rules", kind: "rule", store: rules, nameOf: ({ name }) => name as string },
      accountIn("rules", sinceAlways(rule), ruleFrom(rule)),
      tally,
    );
  all("builds", "build", builds, buildFrom);
  all("mounts", "mount", mounts, mountFields);
  all("versions", "version", versions, versionFields);
  all("noise", "noise reading", noise, noiseFields);
  for (const { id } of document.things("builds")) {
    const made = ensureMount(id, at);
    if (made !== null) noteBefore(tally, "mounts", made, null);
  }
}

const mountFields = (mount: DocumentThing<"mounts">) => ({
  buildId: mount.buildId,
  ...mountFrom({ ...mount, mountedAt: mount.mountedAt ?? null }),
});

const versionFields = (version: DocumentThing<"versions">) => ({
  ...versionFrom(version),
  buildId: version.buildId,
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

/** The mount is left out: it follows from the time; what it was built of is told apart. */
function attemptFields(attempt: DocumentAttempt, now: string): Readonly<Record<string, unknown>> {
  const { history: _edits, stamps: _stamps, alsoSet, tags, errors, ...rest } = attempt;
  const lists = { alsoSet: alsoSet ?? [], tags: tags ?? [], errors: errors ?? [] };
  return {
    ...attemptFrom(draftOf({ ...rest, ...lists } as unknown as Attempt), now),
    buildId: attempt.buildId,
    setAside: attempt.setAside ? { reason: attempt.setAside.reason, at: attempt.setAside.at } : null,
  };
}

type AttemptsMerged = Hangings & Readonly<{ builds: Set<string> }>;

/** Gives the builds whose attempts they are, and what is to be known for their traces and outputs. */
function mergeAttempts(attempts: Iterable<DocumentAttempt>, tally: Tally, at: At): AttemptsMerged {
  const { journal, now } = at;
  const states = stateFinder(at);
  const partsSaid = partsFinder(at);
  const builds = new Set<string>();
  const verdicts: Verdicts = new Map();
  const unended = new Set<string>();
  const mountIds = new Map<string, string>();
  const nameOf = (fields: Readonly<Record<string, unknown>>) => nameIn(journal, fields as unknown as Attempt);
  const keepAccount: MergeStore["keepAccount"] = (account) => {
    const { buildId, asBuilt } = account.fields as unknown as Attempt;
    const mountId = journal.attempts.placeOf(account.id)?.mountId ?? mountIds.get(account.id) ?? "";
    journal.attempts.keepAccount(account, { mountId, stateId: states(buildId, asBuilt) });
  };
  const store = { ...journal.attempts, keepAccount };
  const refuses: Merging["refuses"] = ({ id, fields, stamps }) => {
    if (fields.outcome !== "running" || isDeleted(stamps)) return null;
    const running = journal.attempts.runningOf(fields.buildId as string);
    return running === undefined || running.id === id ? null : anotherRuns;
  };
  const merging: Merging = { list: "attempts", kind: "attempt", store, nameOf, refuses };
  for (const attempt of attempts) {
    builds.add(attempt.buildId);
    if (runsElsewhere(attempt, tally, at)) {
      unended.add(attempt.id);
      continue;
    }
    const asBuilt = partsSaid(attempt);
    const theirs = accountIn("attempts", attempt, { ...attemptFields(attempt, now), asBuilt });
    mountIds.clear();
    mountIds.set(attempt.id, attempt.mountId);
    const { here, now: merged } = mergeOne(merging, theirs, tally);
    if (here !== undefined) noteVerdict(attempt.id, here.stamps, theirs.stamps, verdicts);
    if (merged !== null && merged.fields.outcome !== "running") journal.interrupted.delete(attempt.id);
    raiseMount(attempt, tally, at);
  }
  return { builds, verdicts, unended };
}

const anotherRuns = "Another attempt of this build is running here; end it, then import again.";

/** In the units of its chip, which is merged before it. */
const nameIn = (journal: Journal, attempt: AsSet & Pick<Attempt, "buildId">): string =>
  asSetWords(attempt, journal.chips.find(journal.builds.find(attempt.buildId)?.chipId ?? ""));

/** An attempt that still runs where the document comes from is taken once it has ended. */
function runsElsewhere(attempt: DocumentAttempt, tally: Tally, { journal }: At): boolean {
  if (attempt.outcome !== "running" || (attempt.stamps && isDeleted(attempt.stamps))) return false;
  const because = "It was still running there; it comes along once it has ended.";
  const { clockMhz = null, voltageMv = null } = attempt;
  const name = nameIn(journal, { ...attempt, clockMhz, voltageMv });
  tally.conflicts.push({ kind: "attempt", id: attempt.id, name, kept: "here", because });
  tally.unchanged += 1;
  return true;
}

/** A mount that was deleted here while there an attempt came to stand on it comes back. */
function raiseMount({ id, mountId }: DocumentAttempt, tally: Tally, at: At): void {
  const { mounts } = at.journal;
  if (mounts.find(mountId) === undefined && mounts.wouldHold(mountId, id))
    raise("mounts", mountId, at, tally);
}

/** The same of one that was deleted there, while here attempts stood on it. */
function raiseMountsUsed(buildId: string, tally: Tally, at: At): void {
  const { mounts } = at.journal;
  for (const mountId of mounts.removedOf(buildId))
    if (mounts.isStillUsed(mountId)) raise("mounts", mountId, at, tally);
}

/** A picture never changes, only what is said of it. One from elsewhere is cleaned like one that is sent. */
function mergePictures(sent: Iterable<DocumentPicture>, tally: Tally, { journal }: At): void {
  const { pictures, attempts } = journal;
  for (const theirs of sent) {
    // That of an attempt which still runs there comes with it.
    if (theirs.attemptId != null && !attempts.holds(theirs.attemptId)) continue;
    const { image: packed, buildId, mountId, attemptId, caption } = theirs;
    const cleaned = theirs.stamps?.blanked ? null : pictureBytesOf(Buffer.from(packed, "base64"));
    const fields = {
      ...{ buildId, mountId: mountId ?? null, attemptId: attemptId ?? null, caption },
      ...(cleaned === null ? { type: "image/png", widthPx: 0, heightPx: 0, sizeBytes: 0 } : imageOf(cleaned)),
    };
    const nameOf = (): string => caption || "picture";
    const { now: merged } = mergeOne(
      { list: "pictures", kind: "picture", store: pictures, nameOf },
      accountIn("pictures", theirs, fields),
      tally,
    );
    if (merged?.stamps.blanked === false && cleaned !== null && pictures.imageOf(theirs.id) === undefined)
      pictures.keepImage(theirs.id, cleaned.bytes);
  }
}

const imageOf = ({ type, widthPx, heightPx, bytes }: ReturnType<typeof pictureBytesOf>) => ({
  ...{ type, widthPx, heightPx },
  sizeBytes: bytes.length,
});

/** The latest words stand, or that they were given up; the others stay in the history. */
function mergeOwnWords(sent: Iterable<DocumentThing<"writeUpWords">>, tally: Tally, { journal }: At): void {
  for (const own of sent) {
    const stamp = own.stamp ?? stampOf(Date.parse(own.updatedAt), 0, "");
    const theirs: StampedWords = { ...own, stamp, dropped: own.dropped ?? false };
    const known = journal.writeUpWords.stamped(theirs.builds, theirs.slot);
    const isNews = known === undefined || isLater(theirs, known);
    const gone = isNews ? known : theirs;
    if (gone && known && theirs.words !== known.words) noteEarlierWords(gone, gone, tally, journal);
    if (isNews && (theirs.dropped || mayHaveWords(theirs, journal))) {
      noteBefore(tally, "writeUpWords", `${theirs.builds} ${theirs.slot}`, known ?? null);
      journal.writeUpWords.putStamped(theirs);
      tally[known ? "updated" : "added"] += 1;
    } else tally.unchanged += 1;
  }
}

/** What stood there on other benches comes along. */
function mergeEarlierWords(
  sent: Iterable<DocumentThing<"earlierWords">>,
  tally: Tally,
  { journal }: At,
): void {
  for (const { builds, slot, stamp, words } of sent) {
    const isNew = noteEarlierWords({ builds, slot }, { stamp, words }, tally, journal);
    tally[isNew ? "updated" : "unchanged"] += 1;
  }
}

/** Keeps words in the history of their paragraph, once; says whether they are new there. */
function noteEarlierWords(
  paragraph: Readonly<{ builds: string; slot: string }>,
  earlier: EarlierWords,
  tally: Tally,
  journal: Journal,
): boolean {
  const { builds, slot } = paragraph;
  if (!mayHaveWords(paragraph, journal)) return false;
  const holds = (words: readonly EarlierWords[]): boolean =>
    words.some(({ stamp }) => stamp === earlier.stamp);
  const all = journal.writeUpWords.earlierOf(builds, slot);
  const more = journal.writeUpWords.withEarlier(builds, slot, earlier);
  if (holds(all) || !holds(more)) return false;
  noteBefore(tally, "earlierWords", `${builds} ${slot}`, { all });
  journal.writeUpWords.keepEarlier(builds, slot, more);
  return true;
}

/** Not of a build that was blanked for good. */
const mayHaveWords = ({ builds }: Readonly<{ builds: string }>, journal: Journal): boolean =>
  !builds.split(",").some((id) => journal.builds.accountOf(id)?.stamps.blanked);

const isLater = (one: StampedWords, other: StampedWords): boolean =>
  one.stamp === other.stamp ? one.words > other.words : one.stamp > other.stamp;

/** The parts that an attempt tells of, without words where its build was blanked for good. */
function partsFinder({ journal }: At): (attempt: Pick<DocumentAttempt, "buildId" | "asBuilt">) => Parts {
  const blankedBuilds = new Map<string, boolean>();
  return ({ buildId, asBuilt }) => {
    const isBlanked =
      blankedBuilds.get(buildId) ?? journal.builds.accountOf(buildId)?.stamps.blanked ?? false;
    blankedBuilds.set(buildId, isBlanked);
    return isBlanked ? blankParts : partsOf(asBuilt);
  };
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
