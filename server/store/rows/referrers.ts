/** Rows that name a thing of a list by its id, as SQL: where they stand, called `r`, and what holds the id. */
type Referrer = Readonly<{ rows: string; holds: string }>;

const column = (table: string, name: string): Referrer => ({ rows: `${table} r`, holds: `r.${name}` });

const referrers = {
  chips: [column("builds", "chip_id")],
  boards: [column("builds", "board_id")],
  rules: [column("builds", "rule_id")],
  workloads: [
    column("attempts", "workload_id"),
    column("noise_readings", "workload_id"),
    { rows: "rules r, json_each(r.requires) w", holds: "json_extract(w.value, '$.workloadId')" },
  ],
  builds: [
    column("attempts", "build_id"),
    column("noise_readings", "build_id"),
    column("builds", "based_on"),
  ],
  mounts: [column("attempts", "mount_id")],
} as const satisfies Record<string, readonly Referrer[]>;

export const referredLists = Object.keys(referrers) as readonly (keyof typeof referrers)[];

/** Whether anything that is there, or was deleted and can still come back, names the row of that list. */
export const isNamed = (list: string): string => namedBy(list, "");

/** Whether anything that was not deleted names the row of that list. */
export const isNamedByStanding = (list: string): string => namedBy(list, " AND r.deleted_at IS NULL");

function namedBy(list: string, narrowing: string): string {
  const of: readonly Referrer[] = (referrers as Record<string, readonly Referrer[]>)[list] ?? [];
  const each = of.map(
    ({ rows, holds }) => `EXISTS (SELECT 1 FROM ${rows} WHERE ${holds} = "${list}".id${narrowing})`,
  );
  return each.length === 0 ? "0" : `(${each.join(" OR ")})`;
}
