import {
  type ComparedRun,
  hasLevelled,
  isSteady,
  measured,
  measureTraits,
  type RunMeasure,
  readFor,
} from "./comparedRun.ts";
import { allRuns, byMount, mountMeans } from "./scatter.ts";

/** What one build's runs say of one measure at one setting. */
export type MeasuredSide = Readonly<{
  /** What is averaged: one value a mount, or one a run. */
  means: readonly number[];
  runs: number;
  mounts: number;
  /** As they stood on the instrument, for the step they were read in. */
  readings: readonly number[];
  /** Standard uncertainties of levels found in traces. */
  withinRuns: readonly number[];
}>;

export type MeasuredSides = readonly [MeasuredSide, MeasuredSide] & { notes: readonly string[] };

/** Both builds' runs for one measure; undefined where either has none. */
export function sidesOf(
  measure: RunMeasure,
  runsA: readonly ComparedRun[],
  runsB: readonly ComparedRun[],
  isIdle: boolean,
  repeatedBy: "mount" | "run",
): MeasuredSides | undefined {
  const fit = [runsA, runsB].map((runs) =>
    runs.filter((run) => isSteady(run) && staysAtSetting(measure, run)),
  );
  const { pair, notes } = likeForLike(measure, fit[0]!, fit[1]!, isIdle);
  const [a, b] = pair.map((runs) => sideOf(measure, runs, isIdle, repeatedBy)) as [
    MeasuredSide,
    MeasuredSide,
  ];
  if (a.runs === 0 || b.runs === 0) return undefined;
  const leftOut = runsA.length + runsB.length - a.runs - b.runs;
  return Object.assign([a, b] as const, { notes: leftOut === 0 ? notes : [...notes, leftOutNote(leftOut)] });
}

const leftOutNote = (count: number): string =>
  `${count} ${count === 1 ? "run" : "runs"} at this setting left out: not read, without a room temperature, throttled, ended by a fault, or not like for like.`;

/** A throttled run is not at its setting; its clock and its score tell that, its temperature and power do not. */
const staysAtSetting = (measure: RunMeasure, run: ComparedRun): boolean =>
  run.throttled !== true || measure === "effectiveClock" || measure === "score";

type Pair = Readonly<{ pair: readonly (readonly ComparedRun[])[]; notes: readonly string[] }>;

/** Temperatures only where both have levelled, power only where both were read at the same place. */
function likeForLike(
  measure: RunMeasure,
  a: readonly ComparedRun[],
  b: readonly ComparedRun[],
  isIdle: boolean,
): Pair {
  const read = [a, b].map((runs) => runs.filter((run) => measured(measure, run, isIdle) !== null)) as [
    ComparedRun[],
    ComparedRun[],
  ];
  if (measure === "power") return atSamePlace(...read);
  return measureTraits[measure].byMount ? levelled(...read) : { pair: read, notes: [] };
}

function levelled(a: readonly ComparedRun[], b: readonly ComparedRun[]): Pair {
  const long = [a.filter(hasLevelled), b.filter(hasLevelled)] as const;
  if (long[0].length > 0 && long[1].length > 0) return { pair: long, notes: [] };
  return { pair: [a, b], notes: ["Runs under 10 minutes without a trace had not levelled out."] };
}

const placesOfPower = ["chip", "board", "wall"] as const;

function atSamePlace(a: readonly ComparedRun[], b: readonly ComparedRun[]): Pair {
  const pairs = placesOfPower.map((place) => {
    const here = (run: ComparedRun): boolean => (run.powerAt ?? "chip") === place;
    return { place, pair: [a.filter(here), b.filter(here)] as const };
  });
  const depth = ({ pair }: (typeof pairs)[number]): number => Math.min(pair[0].length, pair[1].length);
  const best = pairs.reduce((first, second) => (depth(second) > depth(first) ? second : first));
  return { pair: best.pair, notes: depth(best) === 0 ? [] : [`Power as read at the ${best.place}.`] };
}

function sideOf(
  measure: RunMeasure,
  runs: readonly ComparedRun[],
  isIdle: boolean,
  repeatedBy: "mount" | "run",
): MeasuredSide {
  const mounts = byMount(runs, (run) => measured(measure, run, isIdle));
  return {
    means: repeatedBy === "mount" ? mountMeans(mounts) : allRuns(mounts),
    runs: runs.length,
    mounts: mounts.size,
    readings: runs.flatMap((run) => readFor(measure, run, isIdle) ?? []),
    withinRuns: measureTraits[measure].byMount ? runs.flatMap((run) => run.withinRunC ?? []) : [],
  };
}
