import { groupedBy } from "../../numerics/groups.ts";
import type { RunMeasure } from "../runs/comparedRun.ts";
import type { SameSettingRow } from "./sameSetting.ts";

/** The part of a build that places it in a series. */
export type ChangedBuild = Readonly<{
  id: string;
  name: string;
  basedOn: string | null;
  change: string | null;
}>;

/** One stated change: from the build it was made to, to the build it made. */
export type BuildChange = Readonly<{ from: string; to: string; change: string }>;

/** Every build that differs from another by one stated change, in the order it was built up: what comes first is based on nothing later. */
export function changesOf(builds: readonly ChangedBuild[]): BuildChange[] {
  const known = new Set(builds.map((build) => build.id));
  const children = groupedBy(
    builds.filter((build) => build.basedOn !== null && known.has(build.basedOn)),
    (build) => build.basedOn!,
  );
  const roots = builds.filter((build) => build.basedOn === null || !known.has(build.basedOn));
  const seen = new Set<string>();
  const walk = (build: ChangedBuild): BuildChange[] => {
    if (seen.has(build.id)) return [];
    seen.add(build.id);
    return (children.get(build.id) ?? []).flatMap((child) => [
      { from: build.id, to: child.id, change: child.change ?? "" },
      ...walk(child),
    ]);
  };
  return roots.flatMap(walk);
}

/** What one change did to one measure, at the setting that both builds documented best. */
type ChangeEffect = BuildChange & Readonly<{ measure: RunMeasure; row: SameSettingRow }>;

/** Every effect of a change by the rows that were compared, one row a measure. */
export const effectsIn = (change: BuildChange, rows: readonly SameSettingRow[]): ChangeEffect[] =>
  [...groupedBy(rows, (row) => row.measure)].map(([measure, ofMeasure]) => ({
    ...change,
    measure,
    row: telling(ofMeasure),
  }));

const telling = (rows: readonly SameSettingRow[]): SameSettingRow =>
  rows.find((row) => row.verdict !== "not-enough") ?? rows[0]!;
