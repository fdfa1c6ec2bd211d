import { undoableEdit } from "../../actions/undoEdit.ts";
import { editedLately } from "../../answers/editedLately.ts";
import type { MergedList } from "../../bench/document/registers.ts";
import type { Attempt } from "../../bench/things/attempt.ts";
import { fieldDescription } from "../../bench/things/attemptFields.ts";
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
    const known = (one: string) => undoableEdit(list, one, { journal, now });
    const [id = edited.id, ...others] = edited.with.length > 1 ? edited.with.filter(known) : [edited.id];
    const edit = known(id);
    const thing = journal[list].find(id);
    if (edit === null || thing === undefined || edit.changes.outcome?.[0] === "running") return [];
    const fields = [...new Set(Object.keys(edit.changes).flatMap((field) => fieldWords(list, field) ?? []))];
    return {
      list,
      id,
      at,
      ...nameOfThing(list, thing, journal),
      fields: formatList(fields),
      many: others.length + 1,
    };
  });

const nouns: Readonly<Record<MergedList, string>> = {
  chips: "chip",
  boards: "board",
  workloads: "workload",
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
