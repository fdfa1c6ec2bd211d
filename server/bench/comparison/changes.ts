import { groupedBy } from "../../numerics/groups.ts";
import type { RunMeasure } from "../runs/comparedRun.ts";
import {
  type SameSettingQuestion,
  type SameSettingRow,
  sameSettingRows,
  sameSettingScores,
} from "./sameSetting.ts";

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
export type ChangeEffect = BuildChange & Readonly<{ measure: RunMeasure; row: SameSettingRow }>;

/** Every effect of a change, one row a measure. */
export function effectsOfChange(change: BuildChange, question: SameSettingQuestion): ChangeEffect[] {
  return effectsIn(change, [...sameSettingRows(question), ...sameSettingScores(question)]);
}

/** The same from rows that were compared already. */
export const effectsIn = (change: BuildChange, rows: readonly SameSettingRow[]): ChangeEffect[] =>
  [...groupedBy(rows, (row) => row.measure)].map(([measure, ofMeasure]) => ({
    ...change,
    measure,
    row: telling(ofMeasure),
  }));

const telling = (rows: readonly SameSettingRow[]): SameSettingRow =>
  rows.find((row) => row.verdict !== "not-enough") ?? rows[0]!;

/** Effects on one measure, the largest first; those that nothing can be said of come last. */
export const largestFirst = (effects: readonly ChangeEffect[], measure: RunMeasure): ChangeEffect[] =>
  effects
    .filter((effect) => effect.measure === measure)
    .sort(
      (first, second) =>
        unsaid(first) - unsaid(second) || Math.abs(second.row.difference) - Math.abs(first.row.difference),
    );

const unsaid = ({ row }: ChangeEffect): number => (row.verdict === "not-enough" ? 1 : 0);
