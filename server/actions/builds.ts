import {
  type Build,
  type BuildDraft,
  buildFrom,
  type Mount,
  type MountDraft,
  mountFrom,
} from "../bench/things/build.ts";
import { conflict, invalid } from "../bench/things/refusal.ts";
import type { At } from "./context.ts";
import { assertVersion, found, isAsItWas, newKept, restored } from "./keeping.ts";
import { footingsOfBuild, footingsOn, standOn } from "./standing.ts";

export function addBuild(draft: BuildDraft, at: At): Build {
  assertPartsExist(draft, null, at);
  const { journal } = at;
  const kept = newKept(at);
  const fields = buildFrom(draft);
  journal.builds.put(kept, fields);
  journal.builds.stateOf({ ...kept, ...fields });
  journal.mounts.put(newKept(at), {
    buildId: kept.id,
    ...mountFrom({ mountedAt: null }),
  });
  return found(journal.builds.find(kept.id), "build");
}

/** Attempts keep the parts they ran with: an edit of the build starts a new state and leaves theirs alone. */
export function editBuild(id: string, edit: Partial<BuildDraft>, version: number | null, at: At): Build {
  const { journal } = at;
  const current = found(journal.builds.find(id), "build");
  assertVersion(current, version, edit);
  const draft = { ...current, ...edit };
  assertPartsExist(draft, id, at);
  if (draft.chipId !== current.chipId && journal.attempts.countOf(id) > 0)
    throw conflict("This build has attempts; another chip makes another build. Base a new build on it.");
  const fields = buildFrom(draft);
  if (isAsItWas(current, fields)) return current;
  journal.builds.replace(id, fields, at.now);
  const edited = found(journal.builds.find(id), "build");
  journal.builds.stateOf(edited);
  return edited;
}

export function removeBuild(id: string, version: number | null, { journal, now }: At): void {
  assertVersion(found(journal.builds.find(id), "build"), version, null);
  const uses = [
    [journal.attempts.countOf(id), "attempt", "attempts"],
    [journal.noise.countOf(id), "noise reading", "noise readings"],
    [journal.builds.countUsing({ basedOn: id }), "build based on it", "builds based on it"],
  ] as const;
  const use = uses.find(([count]) => count > 0);
  if (use) throw conflict(stillHas(use));
  journal.builds.remove(id, now);
}

const stillHas = ([count, one, many]: readonly [count: number, one: string, many: string]): string =>
  `This build has ${count} ${count === 1 ? `${one}; delete that` : `${many}; delete those`} first.`;

export const restoreBuild = (id: string, at: At): Build =>
  restored(at.journal.builds, id, "build", at, (gone) => standOn(footingsOfBuild(gone), at.journal));

function assertPartsExist(draft: BuildDraft, self: string | null, { journal }: At): void {
  const refused: Record<string, string> = {};
  if (!journal.chips.find(draft.chipId)) refused.chipId = "There is no such chip.";
  if (!journal.boards.find(draft.boardId)) refused.boardId = "There is no such board.";
  if (draft.ruleId && !journal.rules.find(draft.ruleId)) refused.ruleId = "There is no such rule.";
  if (draft.basedOn && !journal.builds.find(draft.basedOn)) refused.basedOn = "There is no such build.";
  if (draft.basedOn && draft.basedOn === self) refused.basedOn = "A build cannot be based on itself.";
  if (draft.basedOn && self !== null && standsOn(self, draft.basedOn, { journal }))
    refused.basedOn ??= "That build is based on this one; one of the two comes first.";
  const [first] = Object.values(refused);
  if (first !== undefined) throw invalid(first, refused);
}

/** Whether a build rests on another, at whatever remove. */
function standsOn(wanted: string, from: string, { journal }: Pick<At, "journal">): boolean {
  const met = new Set<string>();
  for (
    let at: string | null = from;
    at !== null && !met.has(at);
    at = journal.builds.find(at)?.basedOn ?? null
  ) {
    if (at === wanted) return true;
    met.add(at);
  }
  return false;
}

export function addMount(buildId: string, draft: MountDraft, at: At): Mount {
  const { journal } = at;
  found(journal.builds.find(buildId), "build");
  const kept = newKept(at);
  journal.mounts.put(kept, { buildId, ...mountFrom(draft) });
  journal.builds.noteHanging(buildId, "mount", at.now);
  journal.mounts.assignAgain(buildId);
  return found(journal.mounts.find(kept.id), "mount");
}

export function editMount(id: string, edit: Partial<MountDraft>, version: number | null, at: At): Mount {
  const { journal } = at;
  const current = found(journal.mounts.find(id), "mount");
  assertVersion(current, version, edit);
  const fields = mountFrom({ ...current, ...edit });
  if (isAsItWas(current, fields)) return current;
  journal.mounts.replace(id, { buildId: current.buildId, ...fields }, at.now);
  journal.mounts.assignAgain(current.buildId);
  return found(journal.mounts.find(id), "mount");
}

export function removeMount(id: string, version: number | null, { journal, now }: At): void {
  const mount = found(journal.mounts.find(id), "mount");
  assertVersion(mount, version, null);
  if (journal.attempts.countOnMount(mount.buildId, id) > 0)
    throw conflict("Attempts ran on this mount; it stays. Its date and note can be edited.");
  if (journal.mounts.countOf(mount.buildId) === 1)
    throw conflict("A build has at least one mount; this is its only one.");
  journal.mounts.remove(id, now);
  journal.mounts.assignAgain(mount.buildId);
}

export function restoreMount(id: string, at: At): Mount {
  const mount = restored(at.journal.mounts, id, "mount", at, (gone) => standOn(footingsOn(gone), at.journal));
  at.journal.mounts.assignAgain(mount.buildId);
  return mount;
}
