import { type ReplacedThing, replacedBy, undoableMerges } from "../../actions/undoMerge.ts";
import { formatNumber } from "../../html/format.ts";
import type { Journal } from "../../store/file/journal.ts";
import type { Merge } from "../../store/parts/merges.ts";
import { unitsOfBuild } from "../kit/clockUnit.ts";
import { settingWords } from "../kit/settingWords.tsx";

/** What came in or was replaced at once within the day, in words. */
export type UndoableMerge = Readonly<{ id: string; at: string; what: string; name: string }>;

export const mergesLately = (journal: Journal, now: string): readonly UndoableMerge[] =>
  undoableMerges({ journal, now }).map((merge) => {
    const replaced = replacedBy(merge, { journal });
    return {
      id: merge.id,
      at: merge.at,
      ...(replaced ? replacedWords(replaced, journal) : takenInWords(merge)),
    };
  });

const takenInWords = ({ added, updated }: Merge) => ({
  what: "Taken in",
  name: `${formatNumber(added)} added, ${formatNumber(updated)} updated`,
});

function replacedWords({ list, of }: ReplacedThing, journal: Journal) {
  const { attempts, builds } = journal;
  if (list === "ownTraces") {
    const attempt = attempts.find(of);
    const name = attempt ? settingWords(attempt, unitsOfBuild(journal, attempt.buildId)) : "of an attempt";
    return { what: "Trace replaced or deleted", name };
  }
  const [ids = ""] = of.split(" ");
  const names = ids.split(",").map((id) => builds.find(id)?.name ?? "a build");
  return { what: "Own words written", name: `in the account of ${names.join(" and ")}` };
}
