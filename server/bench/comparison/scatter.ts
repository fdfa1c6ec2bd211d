import { groupedBy } from "../../numerics/groups.ts";
import { mean, pooledVariance } from "../../numerics/moments.ts";
import type { ComparedRun } from "../runs/comparedRun.ts";
import { offsetOf } from "../things/setting.ts";
import { fansSetApart } from "./fanSweep.ts";

/** How far repeats of the same thing lie apart. */
export type Scatter = Readonly<{
  standardDeviation: number;
  degreesOfFreedom: number;
  /** Where it was found, in words. */
  from: string;
}>;

/** What is read off a run; null where it was not read. */
export type MeasureRead = (run: ComparedRun) => number | null;

/** The values of one build at one setting, mount by mount. */
export type ByMount = ReadonlyMap<string, readonly number[]>;

/** What was set, under which load. Of one set by offset its clock and voltage are readings, and its knobs are part of it. */
export type SetUnder = Pick<
  ComparedRun,
  "workloadId" | "clockMhz" | "voltageMv" | "clockMode" | "offset" | "offsets" | "part" | "knobs"
>;

export const settingKey = (run: SetUnder): string =>
  isSetByOffset(run)
    ? `${run.workloadId} ${JSON.stringify([offsetOf(run), sorted(run.offsets), run.part ?? null, sorted(run.knobs)])}`
    : `${run.workloadId} ${run.clockMhz} ${run.voltageMv} ${run.clockMode ?? "fixed"}`;

const isSetByOffset = ({ offset, offsets }: SetUnder): boolean => offset != null || offsets != null;

const sorted = (named: Readonly<Record<string, unknown>> | null | undefined): unknown =>
  Object.entries(named ?? {}).sort(([one], [other]) => (one < other ? -1 : 1));

export function byMount(runs: readonly ComparedRun[], reading: MeasureRead): Map<string, number[]> {
  const mounts = new Map<string, number[]>();
  for (const run of runs) {
    const value = reading(run);
    if (value === null) continue;
    const values = mounts.get(run.mountId);
    if (values === undefined) mounts.set(run.mountId, [value]);
    else values.push(value);
  }
  return mounts;
}

/** Each mount counts once, however many runs it had. */
export const mountMeans = (mounts: ByMount): number[] => [...mounts.values()].map((values) => mean(values)!);
export const allRuns = (mounts: ByMount): number[] => [...mounts.values()].flat();

/** The runs of one build, setting by setting. */
export type BySetting = ReadonlyMap<string, readonly ComparedRun[]>;

const bySetting = (runs: readonly ComparedRun[]): Map<string, ComparedRun[]> => groupedBy(runs, settingKey);

/** A build's runs by setting, and what was worked out from them once already. */
export type ScatterSource = Readonly<{
  settings: BySetting;
  /** By load and measure. */
  fullest: Map<string, ByMount>;
  repeats: Map<string, readonly (readonly number[])[]>;
  /** By load. */
  repeated: Map<string, readonly (readonly ComparedRun[])[]>;
}>;

const sources = new WeakMap<readonly ComparedRun[], ScatterSource>();

/** The same runs asked again, as one build beside many is, are arranged once. */
export function scatterSource(runs: readonly ComparedRun[]): ScatterSource {
  const known = sources.get(runs);
  if (known !== undefined) return known;
  const source: ScatterSource = {
    settings: bySetting(runs),
    fullest: new Map(),
    repeats: new Map(),
    repeated: new Map(),
  };
  sources.set(runs, source);
  return source;
}

/**
 * The scatter between mounts, pooled over every build that was mounted twice or more. A build speaks with one setting only,
 * this one where it was repeated there, so that no mount is counted twice.
 */
export function scatterBetweenMounts(
  sources: readonly ScatterSource[],
  key: string,
  measure: string,
  reading: MeasureRead,
): Scatter | undefined {
  return scatterOf(
    sources.map((source) => repeatedMounts(source, key, measure, reading)),
    "mounts",
  );
}

/** One figure a mount, of the setting that speaks for a build; fewer than two say nothing. */
export function repeatedMounts(
  source: ScatterSource,
  key: string,
  measure: string,
  reading: MeasureRead,
): number[] {
  const here = byMount(source.settings.get(key) ?? [], reading);
  return mountMeans(here.size >= 2 ? here : fullestMounts(source, workloadOf(key), measure, reading));
}

function fullestMounts(
  source: ScatterSource,
  workloadId: string,
  measure: string,
  reading: MeasureRead,
): ByMount {
  const known = source.fullest.get(`${workloadId} ${measure}`);
  if (known !== undefined) return known;
  let fullest: ByMount = new Map();
  for (const [key, runs] of source.settings) {
    if (workloadOf(key) !== workloadId || runs.length <= fullest.size) continue;
    const mounts = byMount(runs, reading);
    if (mounts.size > fullest.size) fullest = mounts;
  }
  source.fullest.set(`${workloadId} ${measure}`, fullest);
  return fullest;
}

export const workloadOf = (key: string): string => key.slice(0, key.indexOf(" "));

/**
 * The scatter between runs of the same build and setting, and of the same mount where that is asked, pooled over every
 * setting of the same workload. Runs with the fans set apart on purpose are no repeats.
 */
export function scatterBetweenRuns(
  sources: readonly ScatterSource[],
  workloadId: string,
  measure: string,
  reading: MeasureRead,
  withinMount: boolean,
): Scatter | undefined {
  const groups = sources.flatMap((source) => {
    const known = source.repeats.get(`${workloadId} ${measure}`);
    if (known !== undefined) return known;
    const found = repeatedSettings(source, workloadId)
      .flatMap((runs) => repeatsOf(byMount(runs, reading), withinMount))
      .filter((group) => group.length > 1);
    source.repeats.set(`${workloadId} ${measure}`, found);
    return found;
  });
  return scatterOf(groups, "runs");
}

function repeatedSettings(
  { settings, repeated }: ScatterSource,
  workloadId: string,
): readonly (readonly ComparedRun[])[] {
  const known = repeated.get(workloadId);
  if (known !== undefined) return known;
  const found = [...settings]
    .filter(([key, runs]) => runs.length > 1 && workloadOf(key) === workloadId && !fansSetApart(runs))
    .map(([, runs]) => runs);
  repeated.set(workloadId, found);
  return found;
}

const repeatsOf = (mounts: ByMount, withinMount: boolean): (readonly number[])[] =>
  withinMount ? [...mounts.values()] : [allRuns(mounts)];

export function scatterOf(groups: readonly (readonly number[])[], what: string): Scatter | undefined {
  const repeated = groups.filter((group) => group.length > 1);
  const pooled = pooledVariance(repeated);
  if (pooled === undefined) return undefined;
  const count = repeated.reduce((sum, group) => sum + group.length, 0);
  return {
    standardDeviation: Math.sqrt(pooled.variance),
    degreesOfFreedom: pooled.degreesOfFreedom,
    from: `${count} ${what} in ${repeated.length} ${repeated.length === 1 ? "set" : "sets"} of repeats, pooled`,
  };
}
