import { isDeleted, settledAccount } from "../bench/document/account.ts";
import { type MergedList, mergedLists } from "../bench/document/registers.ts";
import { conflict } from "../bench/things/refusal.ts";
import type { At } from "./context.ts";
import { dayMs, found } from "./keeping.ts";

/**
 * Takes the words, pictures, traces, outputs and history of a deleted thing away for good, here and wherever this journal
 * is merged. That it was, and that it is deleted, stays, so that this can travel.
 */
export function blank(list: MergedList, id: string, at: At): void {
  const { journal } = at;
  const account = found(journal[list].accountOf(id), "thing of that kind");
  if (!isDeleted(account.stamps)) throw conflict("Only what is deleted can be blanked; delete it first.");
  if (account.stamps.blanked) return;
  const blanked = settledAccount(list, { ...account, stamps: { ...account.stamps, blanked: true } });
  journal.scrubbing(() => {
    if (list === "attempts") {
      const place = found(journal.attempts.placeOf(id), "attempt");
      journal.attempts.keepAccount(blanked, place);
    } else journal[list].keepAccount(blanked);
    dropHanging(list, id, at);
  });
  for (const picture of picturesOf(list, id, at)) {
    journal.pictures.remove(picture, at.now);
    blank("pictures", picture, at);
  }
}

const picturesOf = (list: MergedList, id: string, { journal }: At): readonly string[] =>
  list === "builds" || list === "mounts" || list === "attempts" ? journal.pictures.idsOf(list, id) : [];

/** What hangs on a thing that is blanked and is no field of it, and what is kept of it elsewhere. */
export function dropHanging(list: MergedList, id: string, at: At): void {
  const { journal } = at;
  if (list === "builds") {
    dropWordsOf(id, at);
    journal.builds.blankStates(id);
    journal.merges.forgetAttemptsOf(id);
  }
  if (list === "attempts") {
    if (journal.traces.outline(id) !== undefined) journal.traces.drop(id);
    journal.attempts.dropOutput(id);
    journal.attempts.dropGaveWay(id);
  }
  if (list === "pictures") journal.pictures.dropImage(id);
  journal.merges.forgetThing(id);
  journal.answeredPosts.forgetNaming(id);
}

/** What was written of an account that tells of the build. */
function dropWordsOf(buildId: string, { journal, now }: At): void {
  for (const { builds, slot, dropped } of journal.writeUpWords.all()) {
    if (!builds.split(",").includes(buildId)) continue;
    if (!dropped) journal.writeUpWords.drop(builds, slot, now);
    journal.writeUpWords.forgetEarlier(builds, slot);
    journal.merges.forgetThing(`${builds} ${slot}`);
  }
}

/** What was deleted more than a day ago, and so cannot be brought back, and is not blanked yet. */
export const blankable = ({ journal, now }: At): readonly (readonly [MergedList, string])[] =>
  mergedLists.flatMap((list) =>
    journal[list]
      .removedBefore(new Date(Date.parse(now) - dayMs).toISOString())
      .map((id): [MergedList, string] => [list, id]),
  );

/** Says how many that were. */
export function blankAll(at: At): number {
  const all = blankable(at);
  for (const [list, id] of all) blank(list, id, at);
  return all.length;
}
