import type { KnobValues } from "../things/asSet.ts";
import type { TriedRow } from "../things/evidenceRow.ts";
import { isCrash, type Outcome } from "../things/outcome.ts";
import { settingsInDoubt } from "./appliedSettings.ts";
import { groupsOf } from "./groups.ts";
import { classOn, type OrderTerms } from "./terms.ts";

export type Spoken = Readonly<{
  id: string;
  startedAt: string;
  settingReadBack: TriedRow["settingReadBack"];
  freshBoot: boolean | null;
  workloadId: string;
  outcome: Outcome;
  lowestTempC: number | null;
  clockMhz: number;
  voltageMv: number;
  knobs: KnobValues | null;
  firmware?: string | null;
}>;

/**
 * The attempts that speak of a build with its knobs as they stand now, which is as in its latest attempt: what survived
 * with them as hard or harder, what failed with them as hard or easier. Failures that the cold explains and runs whose
 * setting is in doubt speak of nothing. The same rows where all speak.
 */
export function speakingAsSetNow<Row extends Spoken>(
  rows: readonly Row[],
  terms: Pick<OrderTerms, "knobs" | "coldBelowC" | "appliedBy">,
): readonly Row[] {
  const latest = rows.at(-1);
  if (latest === undefined) return rows;
  const placed = rows.map((row) => ({
    row,
    class: classOn(terms, row),
    clockMhz: row.clockMhz,
    voltageMv: row.voltageMv,
  }));
  const { order, groupOf } = groupsOf(terms.knobs, placed);
  const now = groupOf(placed.at(-1) as (typeof placed)[number]);
  const inDoubt = settingsInDoubt(rows, terms.appliedBy);
  const speaking = placed.filter((one) => {
    if (one.class === "nothing" && isCrash(one.row.outcome)) return false;
    if (one.class !== "crash" && inDoubt.has(one.row.id)) return false;
    const group = groupOf(one);
    return one.class === "crash" ? order.isAsHard(now, group) : order.isAsHard(group, now);
  });
  return speaking.length === rows.length ? rows : speaking.map(({ row }) => row);
}
