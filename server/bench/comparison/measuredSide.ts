import {
  type ComparedRun,
  hasLevelled,
  isSteady,
  measured,
  measureTraits,
  type RunMeasure,
  readFor,
} from "../runs/comparedRun.ts";
import { fansSetApart } from "./fanSweep.ts";
import { allRuns, byMount, type MeasureRead, mountMeans } from "./scatter.ts";

/** What one build's runs say of one measure at one setting. */
export type MeasuredSide = Readonly<{
  /** One value a mount, however many runs it had. */
  mountMeans: readonly number[];
  runValues: readonly number[];
  runs: number;
  mounts: number;
  /** As they stood on the instrument, for the step they were read in. */
  readings: readonly number[];
  /** Standard uncertainties of levels found in traces. */
  withinRuns: readonly number[];
}>;

/** What is averaged and counted on one side. */
export const repeatsOf = (side: MeasuredSide, per: "mount" | "run"): readonly number[] =>
  per === "mount" ? side.mountMeans : side.runValues;

/** Both builds, the reading that was taken of either, and what was left out. */
export type MeasuredSides = Readonly<{
  a: MeasuredSide;
  b: MeasuredSide;
  taken: Taken;
  notes: readonly string[];
}>;

/** How a measure is read off a run, so that only like is put beside like; null where the run does not fit. */
type Taken = Readonly<{
  name: string;
  reading: MeasureRead;
  notes: (taken: readonly ComparedRun[]) => readonly string[];
}>;

/** Both builds' runs for one measure; undefined where either has none. */
export function sidesOf(
  measure: RunMeasure,
  runsA: readonly ComparedRun[],
  runsB: readonly ComparedRun[],
  isIdle: boolean,
): MeasuredSides | undefined {
  const depth = ({ reading }: Taken): number =>
    Math.min(...[runsA, runsB].map((runs) => runs.filter((run) => reading(run) !== null).length));
  const ways = waysToTake(measure, isIdle);
  const taken = measureTraits[measure].byMount
    ? ways.find((way) => depth(way) > 0)
    : ways.reduce((best, way) => (depth(way) > depth(best) ? way : best));
  if (taken === undefined || depth(taken) === 0) return undefined;
  const [a, b] = [sideOf(measure, runsA, isIdle, taken), sideOf(measure, runsB, isIdle, taken)];
  const leftOut = runsA.length + runsB.length - a.runs - b.runs;
  const notes = [
    ...taken.notes([...runsA, ...runsB].filter((run) => taken.reading(run) !== null)),
    ...(leftOut === 0 ? [] : [leftOutNote(leftOut)]),
    ...(fansSetApart(runsA) || fansSetApart(runsB) ? [fansNote] : []),
  ];
  return { a, b, taken, notes };
}

const fansNote =
  "Fan speeds at this setting were set apart: these runs are no repeats, and their mean says little. See the comparison at equal loudness.";

const leftOutNote = (count: number): string =>
  `${count} ${count === 1 ? "run" : "runs"} at this setting left out: not read, without a room temperature, throttled, ended by a fault, or not like for like.`;

/** A throttled run is not at its setting; its clock and its score tell that, its temperature and power do not. */
const staysAtSetting = (measure: RunMeasure, run: ComparedRun): boolean =>
  run.throttled !== true || measure === "effectiveClock" || measure === "score";

/** Temperatures from levelled runs where there are any, power from one place of reading at a time. */
function waysToTake(measure: RunMeasure, isIdle: boolean): Taken[] {
  const way = (name: string, fits: (run: ComparedRun) => boolean, notes: Taken["notes"]): Taken => ({
    name,
    notes,
    reading: (run) =>
      isSteady(run) && staysAtSetting(measure, run) && fits(run) ? measured(measure, run, isIdle) : null,
  });
  if (measure === "power")
    return (["chip", "board", "wall"] as const).map((place) =>
      way(
        place,
        (run) => (run.powerAt ?? "chip") === place,
        (taken) => [placeNote(place, taken)],
      ),
    );
  if (!measureTraits[measure].byMount)
    return [
      way(
        "all",
        () => true,
        () => [],
      ),
    ];
  return [
    way("levelled", hasLevelled, () => []),
    way(
      "all",
      () => true,
      () => ["Runs under 10 minutes without a trace had not levelled out."],
    ),
  ];
}

/** A place that nobody stated is taken to be the chip, and told so. */
function placeNote(place: string, taken: readonly ComparedRun[]): string {
  const said = taken.filter((run) => run.powerAt !== null).length;
  if (said === 0) return `Not said where it was read, and taken to be at the ${place}.`;
  return `As read at the ${place}${said < taken.length ? ", or not said where" : ""}.`;
}

function sideOf(
  measure: RunMeasure,
  runs: readonly ComparedRun[],
  isIdle: boolean,
  { reading }: Taken,
): MeasuredSide {
  const fit = runs.filter((run) => reading(run) !== null);
  const mounts = byMount(fit, reading);
  return {
    mountMeans: mountMeans(mounts),
    runValues: allRuns(mounts),
    runs: fit.length,
    mounts: mounts.size,
    readings: fit.flatMap((run) => readFor(measure, run, isIdle) ?? []),
    withinRuns: measureTraits[measure].byMount ? fit.flatMap((run) => run.withinRunC ?? []) : [],
  };
}
