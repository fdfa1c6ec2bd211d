import { leastHardness } from "../../bench/order/partsOfRun.ts";
import type { BuildRow } from "./view.tsx";

/** How far a build goes, a larger number the further: its clock, or its offset, that of the part that goes least far. */
function reachOf({ answer, harder }: BuildRow): number {
  if (answer?.setting) return answer.setting.clockMhz;
  const { offset = null, offsets = null } = answer?.byOffset ?? {};
  const known = offset === null ? Object.values(offsets ?? {}) : [offset];
  return (harder && leastHardness(known, harder)) ?? -Infinity;
}

/** How far builds go is told apart within a chip: the one in most builds comes first, and of each the build that goes furthest. */
export function ranked(rows: readonly BuildRow[]): readonly BuildRow[] {
  const counts = new Map<string, number>();
  for (const { build } of rows) counts.set(build.chipId, (counts.get(build.chipId) ?? 0) + 1);
  const countOf = ({ build }: BuildRow): number => counts.get(build.chipId) ?? 0;
  return rows.toSorted(
    (a, b) =>
      countOf(b) - countOf(a) ||
      a.build.chipId.localeCompare(b.build.chipId) ||
      (reachOf(a) === reachOf(b) ? 0 : reachOf(b) - reachOf(a)),
  );
}
