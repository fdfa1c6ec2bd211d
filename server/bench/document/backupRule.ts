/** A backup of the journal in the folder for them. */
export type Backup = Readonly<{
  name: string;
  at: string;
  bytes: number;
  /** Made by the day, or before an update changed the journal. */
  why: "day" | "update";
}>;

/** How many days, weeks and months a backup each is kept of, and the space that all together may take. */
export const backupRule = { days: 7, weeks: 4, months: 12, spaceBytes: 2 * 2 ** 30 } as const;

export const backupRuleWords =
  "Of each of the last 7 days, 4 weeks and 12 months the newest backup is kept, and the one before the last update; together they take at most 2 GiB, beyond which the oldest go, but never the newest.";

const dayMs = 86_400_000;
const dayOf = (at: string): number => Math.floor(Date.parse(at) / dayMs);
/** Weeks begin on Mondays; 1 January 1970 was a Thursday. */
const weekOf = (at: string): number => Math.floor((dayOf(at) + 3) / 7);
const monthOf = (at: string): number => new Date(at).getUTCFullYear() * 12 + new Date(at).getUTCMonth();

/** The backups that the rule lets go of, given all there are. Periods are UTC. */
export function backupsLetGo(
  backups: readonly Backup[],
  now: string,
  rule: Readonly<Record<keyof typeof backupRule, number>> = backupRule,
): readonly Backup[] {
  const newestFirst = [...backups].sort((a, b) => Date.parse(b.at) - Date.parse(a.at));
  const wanted = new Set([
    ...newestOfEach(newestFirst, dayOf, dayOf(now) - rule.days),
    ...newestOfEach(newestFirst, weekOf, weekOf(now) - rule.weeks),
    ...newestOfEach(newestFirst, monthOf, monthOf(now) - rule.months),
    ...newestFirst.slice(0, 1),
    ...newestFirst.filter(({ why }) => why === "update").slice(0, 1),
  ]);
  let space = 0;
  return newestFirst.filter((backup, place) => {
    if (!wanted.has(backup)) return true;
    space += backup.bytes;
    return place > 0 && space > rule.spaceBytes;
  });
}

function newestOfEach(
  newestFirst: readonly Backup[],
  periodOf: (at: string) => number,
  before: number,
): readonly Backup[] {
  const newest = new Map<number, Backup>();
  for (const backup of newestFirst) {
    const period = periodOf(backup.at);
    if (period > before && !newest.has(period)) newest.set(period, backup);
  }
  return [...newest.values()];
}
