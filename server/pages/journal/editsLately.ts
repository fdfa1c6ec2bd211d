import type { At } from "../../actions/context.ts";
import { undoableAttempts, undoableEdit } from "../../actions/undoEdit.ts";
import { type EditedThing, editedLately } from "../../answers/editedLately.ts";
import type { StampedEdit } from "../../bench/document/account.ts";
import type { MergedList } from "../../bench/document/registers.ts";
import type { Attempt } from "../../bench/things/attempt.ts";
import { fieldDescription } from "../../bench/things/attemptFields.ts";
import type { Kept } from "../../bench/things/thing.ts";
import { formatList, formatMoment } from "../../html/format.ts";
import type { Journal } from "../../store/file/journal.ts";
import { unitsOfBuild } from "../kit/clockUnit.ts";
import { plainWords } from "../kit/plainWords.ts";
import { settingWords } from "../kit/settingWords.tsx";

/** A thing whose latest edit can be undone. */
export type UndoableEdit = Readonly<{
  list: MergedList;
  id: string;
  what: string;
  name: string;
  at: string;
  /** Which of its fields were changed, in words. */
  fields: string;
  /** How many attempts were corrected at once; 1 for a single edit. */
  many: number;
}>;

/** The edits of the last day that can be undone, the latest first; an ending is none, for it has a way back of its own. */
export const undoableEdits = (journal: Journal, now: string): readonly UndoableEdit[] =>
  editedLately(journal, now).flatMap((edited): UndoableEdit | [] => {
    const { list, at } = edited;
    const known = undoableOf(edited, { journal, now });
    const [first] = known;
    if (first === undefined || first.edit.changes.outcome?.[0] === "running") return [];
    const { thing, edit } = first;
    const fields = [...new Set(Object.keys(edit.changes).flatMap((field) => fieldWords(list, field) ?? []))];
    return {
      list,
      id: thing.id,
      at,
      ...nameOfThing(list, thing, journal),
      fields: formatList(fields),
      many: known.length,
    };
  });

type Known = Readonly<{ thing: Kept; edit: StampedEdit }>;

/** What was edited, or corrected at once, as far as it can be undone. */
function undoableOf({ list, id, with: all }: EditedThing, at: At): readonly Known[] {
  if (all.length > 1) return undoableAttempts(all, at).map(({ attempt, edit }) => ({ thing: attempt, edit }));
  const thing = at.journal[list].find(id);
  const edit = undoableEdit(list, id, at);
  return thing === undefined || edit === null ? [] : [{ thing, edit }];
}

const nouns: Readonly<Record<MergedList, string>> = {
  chips: "chip",
  boards: "board",
  workloads: "load",
  rules: "acceptance rule",
  builds: "build",
  mounts: "mount",
  versions: "version",
  noise: "noise reading",
  attempts: "attempt",
  pictures: "picture",
};

/** What a thing is called where all kinds stand in one list. */
export function nameOfThing(
  list: MergedList,
  thing: object,
  journal: Journal,
): Pick<UndoableEdit, "what" | "name"> {
  const { name, caption, buildId, takenAt, mountedAt } = thing as Readonly<Record<string, string | null>>;
  const build = journal.builds.find(buildId ?? "")?.name ?? "";
  const when = takenAt ?? mountedAt;
  const told = when == null ? `of ${build}` : `of ${build}, ${formatMoment(when, "moment")} UTC`;
  return {
    what: nouns[list],
    name:
      list === "attempts"
        ? settingWords(thing as Attempt, unitsOfBuild(journal, buildId ?? ""))
        : name || caption || told,
  };
}

/** Null for what follows from other fields. */
function fieldWords(list: MergedList, field: string): string | null {
  if (field === "mountId" || field === "aboveCeiling") return null;
  if (field === "setAside") return "set aside";
  const described =
    list === "attempts" ? fieldDescription[field as keyof typeof fieldDescription]?.title : undefined;
  return described?.toLowerCase() ?? plainWords(field);
}
