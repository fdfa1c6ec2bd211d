import { isPlain, type ThingAccount } from "../bench/document/account.ts";
import type { GaveWay } from "../bench/document/gaveWay.ts";
import { isMergedList, type MergedList } from "../bench/document/registers.ts";
import { conflict } from "../bench/things/refusal.ts";
import type { Journal } from "../store/file/journal.ts";
import type { Merge, MergeStep } from "../store/parts/merges.ts";
import type { StampedWords } from "../store/parts/writeUpWords.ts";
import type { At } from "./context.ts";
import { gaveWayKept } from "./gaveWay.ts";
import { dayMs, found } from "./keeping.ts";
import { putTraceBack, traceKept } from "./keptTrace.ts";
import { leftPlain, newTally, noteBefore, standingPrint, stepsOf, type Tally } from "./mergeTally.ts";
import { ensureMount, settleStanding } from "./mergeThings.ts";

/** What came in at once, from another journal or a file of attempts, can be undone as one. */
export function keepUndoable(
  tally: Tally,
  counts: Pick<Merge, "added" | "updated">,
  { journal, now }: At,
): void {
  if (tally.before.size === 0) return;
  const steps = stepsOf(tally, (list, id) => standingIn(journal, list, id));
  journal.merges.keep({ id: journal.newId(now), at: now, ...counts }, steps);
}

/** What a tester replaces by hand that is no field of a thing: the trace of an attempt, the words of an account. */
export type ReplacedList = "ownTraces" | "ownWords";

/** Does what replaces such things; what was there comes back within the day by the same undoing as a merge. */
export function replacing(list: ReplacedList, ids: readonly string[], at: At, work: () => void): void {
  const tally = newTally();
  for (const id of ids) {
    const before = standingIn(at.journal, list, id);
    if (before !== null) noteBefore(tally, list, id, before);
  }
  work();
  keepUndoable(tally, { added: 0, updated: tally.before.size }, at);
}

/** Which of these a merge is, and of what; null where it came from another journal or a file. */
export function replacedBy({ id }: Merge, { journal }: Pick<At, "journal">): ReplacedThing | null {
  const first = journal.merges.firstOf(id);
  if (first?.list !== "ownTraces" && first?.list !== "ownWords") return null;
  return { list: first.list, of: first.thingId };
}

/** `of` is the attempt, or the builds of the account with commas between and the paragraph behind a blank. */
export type ReplacedThing = Readonly<{ list: ReplacedList; of: string }>;

/** `stays` counts what was changed here since the merge, or stands under something that was: it is left as it is. */
export type MergeUndone = Readonly<{ takenBack: number; stays: number }>;

const isWithinTheDay = ({ at }: Merge, now: string): boolean => Date.parse(now) - Date.parse(at) <= dayMs;

/** The merges that can be undone, the latest first. */
export const undoableMerges = ({ journal, now }: At): readonly Merge[] =>
  journal.merges.all().filter((merge) => isWithinTheDay(merge, now));

/**
 * Takes this journal back to before a merge, without a word to the other one: merged again, all of it comes again. What
 * was changed here since stays as it is.
 */
export function undoMerge(id: string, at: At): MergeUndone {
  const { journal, now } = at;
  const merge = found(journal.merges.find(id), "merge");
  if (!isWithinTheDay(merge, now))
    throw conflict("This merge is more than a day old and cannot be undone any more.");
  const undone = { takenBack: 0, stays: 0 };
  const builds = new Set<string>();
  for (const step of journal.merges.stepsBack(id)) {
    const standing = standingIn(journal, step.list, step.thingId);
    const buildId = buildBehind(step, standing);
    if (buildId !== null) builds.add(buildId);
    undone[isUndone(step, standing, at) ? "takenBack" : "stays"] += 1;
  }
  for (const buildId of builds) ensureMount(buildId, at);
  settleStanding(builds, at, null);
  journal.merges.forget(id);
  return undone;
}

function buildBehind({ list, thingId }: MergeStep, standing: object | null): string | null {
  if (list === "builds") return thingId;
  if (list !== "mounts" && list !== "attempts") return null;
  return ((standing as ThingAccount | null)?.fields.buildId as string | undefined) ?? null;
}

function isUndone(step: MergeStep, standing: object | null, at: At): boolean {
  const { list, thingId, before, left } = step;
  if (!isAsLeft(standing, left)) return false;
  const was = before === null ? null : (JSON.parse(before) as unknown);
  if (list === "ownTraces" || list === "ownWords") return isReplacedBack(list, thingId, was as object, at);
  return isMergedList(list)
    ? isThingUndone(list, thingId, was as ThingAccount | null, at.journal)
    : isRestUndone(step, was, at.journal);
}

const isAsLeft = (standing: object | null, left: string): boolean =>
  left === leftPlain
    ? standing !== null && isPlain(standing as ThingAccount)
    : standingPrint(standing) === left;

function isThingUndone(list: MergedList, id: string, was: ThingAccount | null, journal: Journal): boolean {
  if (was === null) return !hasOthersOn(list, id, journal) && journal[list].forgetWhole(id);
  if (list === "attempts") {
    const place = journal.attempts.placeOf(id);
    if (place !== undefined) journal.attempts.keepAccount(was, place);
  } else journal[list].keepAccount(was);
  return true;
}

/** Whether anything stands on it that would go with it: what came with the merge is gone by then. */
const hasOthersOn = (list: MergedList, id: string, { builds, pictures }: Journal): boolean =>
  list === "builds"
    ? builds.holdsAny(id)
    : (list === "attempts" || list === "mounts") && pictures.idsOf(list, id).length > 0;

/** Unlike a merge it was done here, so that it was undone is written down and travels. */
function isReplacedBack(list: ReplacedList, id: string, was: object, { journal, now }: At): boolean {
  if (list === "ownWords") {
    const before = was as StampedWords;
    if (before.dropped) journal.writeUpWords.drop(before.builds, before.slot, now);
    else journal.writeUpWords.keep({ ...before, updatedAt: now });
    return true;
  }
  if (journal.attempts.find(id) === undefined) return false;
  putTraceBack(journal, id, was as Parameters<typeof putTraceBack>[2]);
  journal.attempts.noteHanging(id, "trace", now);
  return true;
}

function isRestUndone({ list, thingId }: MergeStep, was: unknown, journal: Journal): boolean {
  if (list === "writeUpWords") {
    const [builds, slot] = wordsAt(thingId);
    if (was === null) journal.writeUpWords.forgetWhole(builds, slot);
    else journal.writeUpWords.putStamped(was as StampedWords);
  } else if (list === "earlierWords") {
    const { all } = was as ReturnType<typeof earlierKept>;
    journal.writeUpWords.keepEarlier(...wordsAt(thingId), all);
  } else if (list === "gaveWay") journal.attempts.keepGaveWay(thingId, (was as { all: GaveWay[] }).all);
  else if (list === "outputs") {
    if (was === null) journal.attempts.dropOutput(thingId);
    else journal.attempts.keepOutput(thingId, (was as { output: string }).output);
  } else if (was === null) journal.traces.drop(thingId);
  else putTraceBack(journal, thingId, was as Parameters<typeof putTraceBack>[2]);
  return true;
}

/** How something that a merge may write stands now; null where it is not here. */
function standingIn(journal: Journal, list: string, thingId: string): object | null {
  if (isMergedList(list)) return journal[list].accountOf(thingId) ?? null;
  if (list === "traces" || list === "ownTraces") return traceKept(journal, thingId);
  if (list === "gaveWay") return gaveWayKept(journal, thingId);
  if (list === "earlierWords") return earlierKept(journal, thingId);
  if (list === "outputs") {
    const output = journal.attempts.outputOf(thingId);
    return output === undefined ? null : { output };
  }
  return journal.writeUpWords.stamped(...wordsAt(thingId)) ?? null;
}

const earlierKept = ({ writeUpWords }: Journal, thingId: string) => ({
  all: writeUpWords.earlierOf(...wordsAt(thingId)),
});

/** Slots hold no blanks; the ids of builds have commas between. */
function wordsAt(thingId: string): [builds: string, slot: string] {
  const place = thingId.indexOf(" ");
  return [thingId.slice(0, place), thingId.slice(place + 1)];
}
