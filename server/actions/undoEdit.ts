import type { StampedEdit } from "../bench/document/account.ts";
import type { MergedList } from "../bench/document/registers.ts";
import type { Attempt, AttemptEdit } from "../bench/things/attempt.ts";
import { conflict } from "../bench/things/refusal.ts";
import type { Kept } from "../bench/things/thing.ts";
import { changeAttempt, putBackAttempt, setAsideAttempt } from "./attempts.ts";
import { editBuild, editMount } from "./builds.ts";
import type { At } from "./context.ts";
import { dayMs, found } from "./keeping.ts";
import { editNoise } from "./noise.ts";
import { boardActions, chipActions, ruleActions, workloadActions } from "./parts.ts";
import { captionPicture } from "./pictures.ts";
import { editVersion } from "./versions.ts";

type Before = Readonly<Record<string, unknown>>;
type Edit = (id: string, before: never, version: null, at: At) => Kept;

const editsOf: Readonly<Record<Exclude<MergedList, "attempts">, Edit>> = {
  chips: chipActions.edit,
  boards: boardActions.edit,
  workloads: workloadActions.edit,
  rules: ruleActions.edit,
  builds: editBuild,
  mounts: editMount,
  versions: editVersion,
  noise: editNoise,
  pictures: (id, { caption }: { caption: string }, version, at) => captionPicture(id, caption, version, at),
};

/** What nobody writes himself: it follows from other fields. */
const following: ReadonlySet<string> = new Set(["mountId"]);

/** The latest edit of a thing as long as it can be undone: for a day, and not where what it changed has been changed since. */
export function undoableEdit(list: MergedList, id: string, { journal, now }: At): StampedEdit | null {
  const thing = journal[list].find(id) as (Kept & Before) | undefined;
  return thing === undefined ? null : standingEdit(thing, journal[list].editsOf(id), now);
}

/** The same of many attempts, read at once; those whose latest edit cannot be undone are left out. */
export function undoableAttempts(
  ids: readonly string[],
  { journal: { attempts }, now }: At,
): readonly Readonly<{ attempt: Attempt; edit: StampedEdit }>[] {
  const edits = attempts.editsOfEach(ids);
  return attempts.some(ids).flatMap((attempt) => {
    const edit = standingEdit(attempt, edits.get(attempt.id) ?? [], now);
    return edit === null ? [] : [{ attempt, edit }];
  });
}

function standingEdit(thing: Before, edits: readonly StampedEdit[], now: string): StampedEdit | null {
  const edit = edits.at(-1);
  if (edit === undefined || Date.parse(now) - Date.parse(edit.at) > dayMs) return null;
  const isStanding = Object.entries(edit.changes).every(
    ([field, [, after]]) =>
      following.has(field) || JSON.stringify(thing[field] ?? null) === JSON.stringify(after ?? null),
  );
  return isStanding ? edit : null;
}

/** Takes the latest edit of a thing back, by another edit: undone again, it stands again. */
export function undoEdit(list: MergedList, id: string, at: At): Kept {
  found(at.journal[list].find(id) as Kept | undefined, "thing of that kind");
  const edit = undoableEdit(list, id, at);
  if (edit === null)
    throw conflict("There is no edit of the last day to undo, or what it changed has been changed since.");
  const before: Before = Object.fromEntries(
    Object.entries(edit.changes)
      .filter(([field]) => !following.has(field))
      .map(([field, [was]]) => [field, was ?? null]),
  );
  return list === "attempts" ? undoneAttempt(id, before, at) : editsOf[list](id, before as never, null, at);
}

export type ManyUndone = Readonly<{ undone: number; stays: number }>;

/** Takes back what was edited of many attempts at one moment; what was changed since stays. */
export function undoEditsAt(moment: string, at: At): ManyUndone {
  const { attempts } = at.journal;
  const edited = attempts.some(attempts.editedAt(moment)).map(({ id }) => id);
  const standing = undoableAttempts(edited, at).filter(({ edit }) => edit.at === moment);
  for (const { attempt } of standing) undoEdit("attempts", attempt.id, at);
  return { undone: standing.length, stays: edited.length - standing.length };
}

function undoneAttempt(id: string, { setAside, ...before }: Before, at: At): Attempt {
  if (setAside === null) putBackAttempt(id, at);
  else if (setAside !== undefined) setAsideAttempt(id, (setAside as { reason: string }).reason, at);
  const current = found(at.journal.attempts.find(id), "attempt");
  if (Object.keys(before).length === 0) return current;
  return changeAttempt(current, { aboveCeiling: current.aboveCeiling, ...before } as AttemptEdit, at);
}
