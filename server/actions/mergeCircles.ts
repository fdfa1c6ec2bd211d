import { stampIn, type ThingAccount } from "../bench/document/account.ts";
import type { Journal } from "../store/file/journal.ts";
import type { At } from "./context.ts";
import { noteBefore, type Tally } from "./mergeTally.ts";

/**
 * Builds that came to be based on one another apart are told from their circle by letting go of the latest word, on every
 * bench the same one. It keeps its stamp, and in a journal that holds no circle it would stand.
 */
export function breakCircles(builds: Iterable<string>, tally: Tally, { journal }: At): void {
  for (const id of builds) {
    const circle = circleOf(id, journal);
    if (circle.length === 0) continue;
    const last = circle.reduce((one, other) => (isLater(other, one) ? other : one));
    const name = last.fields.name as string;
    noteBefore(tally, "builds", last.id, last);
    journal.builds.keepAccount({ ...last, fields: { ...last.fields, basedOn: null, change: null } });
    const because =
      "It would be based on itself, by way of another build; what was said last of that is left out.";
    tally.conflicts.push({ kind: "build", id: last.id, name, kept: "here", because });
  }
}

/** The builds from this one back to itself; none where it is in no circle. */
function circleOf(id: string, { builds }: Journal): readonly ThingAccount[] {
  const met = new Map<string, ThingAccount>();
  for (let at: string | null = id; at !== null; ) {
    const account = builds.accountOf(at);
    if (account === undefined) return [];
    met.set(at, account);
    at = account.fields.basedOn as string | null;
    if (at === id) return [...met.values()];
    if (at !== null && met.has(at)) return [];
  }
  return [];
}

const isLater = (one: ThingAccount, other: ThingAccount): boolean => wordOf(one) > wordOf(other);
const wordOf = ({ id, stamps }: ThingAccount): string => `${stampIn(stamps, "basedOn")} ${id}`;
