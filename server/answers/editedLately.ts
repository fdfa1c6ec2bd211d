import { type MergedList, mergedLists } from "../bench/document/registers.ts";
import type { Journal } from "../store/file/journal.ts";

/** A thing that was edited within the day; `with` names the attempts corrected along with it, itself among them. */
export type EditedThing = Readonly<{ list: MergedList; id: string; at: string; with: readonly string[] }>;

const most = 50;
/** So many attempts are corrected at once at most, and stand as one. */
const mostAttempts = 600;
const dayMs = 86_400_000;

/** The things edited within the day, the latest first, each once. */
export function editedLately(journal: Journal, now: string): readonly EditedThing[] {
  const since = new Date(Date.parse(now) - dayMs).toISOString();
  const of = (list: "attempts" | null, edited: readonly Readonly<{ id: string; at: string }>[]) =>
    edited.flatMap(({ id, at }): EditedThing | [] => {
      const found = list ?? mergedLists.find((one) => one !== "attempts" && journal[one].holds(id));
      return found === undefined ? [] : { list: found, id, at, with: [] };
    });
  return [
    ...together(of("attempts", journal.attempts.editedSince(since, mostAttempts))),
    ...of(null, journal.boards.editedSince(since, most)),
  ]
    .sort((a, b) => Date.parse(b.at) - Date.parse(a.at))
    .slice(0, most);
}

/** Attempts edited at one moment were corrected at once. */
function together(edited: readonly EditedThing[]): readonly EditedThing[] {
  const byMoment = new Map<string, EditedThing>();
  for (const one of edited) {
    const first = byMoment.get(one.at) ?? one;
    byMoment.set(one.at, { ...first, with: [...first.with, one.id] });
  }
  return [...byMoment.values()];
}
