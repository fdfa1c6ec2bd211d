import { heldApart, isDeleted, isPlain, joined, type ThingAccount } from "../bench/document/account.ts";
import type { MergedList } from "../bench/document/registers.ts";
import { mountFrom } from "../bench/things/build.ts";
import type { At } from "./context.ts";
import { newKept } from "./keeping.ts";
import { noteAdded, noteBefore, type Tally } from "./mergeTally.ts";

export type MergeStore = Readonly<{
  /** Whether it is here, deleted or not; asked first, since most of what comes is new. */
  holds(id: string): boolean;
  accountOf(id: string): ThingAccount | undefined;
  keepAccount(account: ThingAccount): void;
}>;

export type Merging = Readonly<{
  list: MergedList;
  kind: string;
  store: MergeStore;
  nameOf(fields: ThingAccount["fields"]): string;
  /** Why it cannot be kept as it would be; null where it can. */
  refuses?(account: ThingAccount): string | null;
}>;

/** How a thing was here, undefined where it was not, and what it is now; null where nothing became of it. */
export type Merged = Readonly<{ here: ThingAccount | undefined; now: ThingAccount | null }>;

/** Joins their account of a thing with the one that is here. */
export function mergeOne(
  { list, kind, store, nameOf, refuses }: Merging,
  theirs: ThingAccount,
  tally: Tally,
): Merged {
  const here = store.holds(theirs.id) ? store.accountOf(theirs.id) : undefined;
  if (here === undefined) {
    noteAdded(tally, list, theirs.id, { isPlain: isPlain(theirs) });
    store.keepAccount(theirs);
    tally[isDeleted(theirs.stamps) ? "unchanged" : "added"] += 1;
    return { here, now: theirs };
  }
  const both = joined(list, here, theirs);
  const note = (kept: "here" | "theirs", because: string) =>
    tally.conflicts.push({ kind, id: theirs.id, name: nameOf(both.fields), kept, because });
  const refused = refuses?.(both) ?? null;
  if (refused !== null) note("here", refused);
  if (refused !== null || isSame(here, both)) {
    tally.unchanged += 1;
    return { here, now: null };
  }
  const [goneHere, goneThere, gone] = [here, theirs, both].map(({ stamps }) => isDeleted(stamps));
  if (!gone && goneHere) note("theirs", "It was deleted here and edited there; the edit stands.");
  if (!gone && goneThere) note("here", "It was deleted there and edited here; the edit stands.");
  if (!gone)
    for (const { kept, sameMoment } of heldApart(list, here, theirs)) note(kept, apartWords(sameMoment));
  if (both.stamps.blanked && !here.stamps.blanked) tally.blanked.push([list, theirs.id]);
  else noteBefore(tally, list, theirs.id, here);
  store.keepAccount(both);
  tally.updated += 1;
  return { here, now: both };
}

const isSame = ({ fields, ...one }: ThingAccount, { fields: others, ...other }: ThingAccount): boolean =>
  (fields === others || JSON.stringify(fields) === JSON.stringify(others)) &&
  JSON.stringify(one) === JSON.stringify(other);

const apartWords = (sameMoment: boolean): string =>
  sameMoment
    ? "Both were edited at the same moment; on every bench the same one of the two stands."
    : "Both were edited apart; the newer edit stands.";

/**
 * What was deleted and is named by something that stands comes back, and what it names in its turn; each of these builds
 * has a mount, and its attempts are on theirs.
 */
export function settleStanding(builds: Iterable<string>, at: At, tally: Tally | null): void {
  const ofBuilds = [...builds];
  for (let raised = 1; raised > 0; ) {
    raised = raiseNamed(["builds", "rules", "workloads", "boards", "chips"], at, tally);
    for (const buildId of ofBuilds) raised += settleMounts(buildId, at, tally);
    raised += raiseNamed(["mounts"], at, tally);
  }
}

function raiseNamed(
  lists: readonly ("builds" | "mounts" | "rules" | "workloads" | "boards" | "chips")[],
  at: At,
  tally: Tally | null,
): number {
  const named = lists.flatMap((list) => at.journal[list].namedThoughRemoved().map((id) => ({ list, id })));
  for (const { list, id } of named) raise(list, id, at, tally);
  return named.length;
}

/** Brings back what was removed, for something that stands needs it. */
export function raise(list: MergedList, id: string, { journal }: At, tally: Tally | null): void {
  if (tally !== null) noteBefore(tally, list, id, journal[list].accountOf(id) ?? null);
  journal[list].raise(id);
}

function settleMounts(buildId: string, at: At, tally: Tally | null): number {
  const { mounts, builds } = at.journal;
  if (!builds.find(buildId)) return 0;
  const [oldest] = mounts.countOf(buildId) > 0 ? [] : mounts.removedOf(buildId);
  if (oldest !== undefined) raise("mounts", oldest, at, tally);
  mounts.assignAgain(buildId);
  return oldest === undefined ? 0 : 1;
}

/** A build that came without a mount, or is left with none, gets its first; gives its id. What is deleted needs none. */
export function ensureMount(buildId: string, at: At): string | null {
  const { mounts, builds } = at.journal;
  if (!builds.find(buildId) || mounts.countOf(buildId) > 0 || mounts.removedOf(buildId).length > 0)
    return null;
  const kept = newKept(at);
  mounts.put(kept, { buildId, ...mountFrom({ mountedAt: null }) });
  return kept.id;
}
