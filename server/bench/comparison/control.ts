import { groupedBy } from "../../numerics/groups.ts";
import { isSteady, measured, measures, measureTraits, type RunMeasure } from "../runs/comparedRun.ts";
import type { TaggedRun } from "../runs/runRow.ts";
import { type Control, type Drift, driftOf } from "./drift.ts";
import { settingKey } from "./scatter.ts";

/** The tag that marks a run as the known setting repeated on every bench day. */
export const controlTag = "control";

export type ControlSetting = Control &
  Readonly<{
    /** True where the tester tagged it; else it is the setting repeated on most days. */
    tagged: boolean;
    days: number;
    runs: number;
    /** The mount that saw most of the days: temperatures are followed on it alone. */
    mountId: string;
    mountDays: number;
  }>;

const isTagged = ({ tags }: TaggedRun): boolean =>
  tags.some((tag) => tag.trim().toLowerCase() === controlTag);
const dayOf = ({ startedAt }: TaggedRun): string => startedAt.slice(0, 10);
const daysOf = (runs: readonly TaggedRun[]): number => new Set(runs.map(dayOf)).size;

/** The control setting of one build: as tagged, else what ran on two days or more, most days first; days are UTC dates. */
export function controlOf(runs: readonly TaggedRun[]): ControlSetting | undefined {
  const usable = runs.filter((run) => isSteady(run) && run.throttled !== true);
  const tagged = usable.filter(isTagged);
  const groups = [...groupedBy(tagged.length > 0 ? tagged : usable, settingKey).values()];
  const [best] = groups
    .filter((group) => tagged.length > 0 || daysOf(group) >= 2)
    .sort((first, second) => daysOf(second) - daysOf(first) || second.length - first.length);
  if (best === undefined) return undefined;
  const { workloadId, clockMhz, voltageMv, clockMode, offset, offsets, part, knobs } = best[0]!;
  const mounts = [...groupedBy(best, (run) => run.mountId)];
  const [mountId, onMount] = mounts.reduce((most, next) => (daysOf(next[1]) > daysOf(most[1]) ? next : most));
  return {
    workloadId,
    clockMhz,
    voltageMv,
    clockMode,
    ...{ offset, offsets, part, knobs },
    tagged: tagged.length > 0,
    days: daysOf(best),
    runs: best.length,
    mountId,
    mountDays: daysOf(onMount),
  };
}

export type BenchDrift = Drift &
  Readonly<{
    /** True where the cooler was put on again between the days, so that mounts are in the difference too. */
    remounted: boolean;
  }>;

/** What moves with the bench, the room's and the meters' share first. */
const followed: readonly RunMeasure[] = [...measures, "score"];

/** Every measure the control runs tell; temperatures on one mount where it saw two days or more. */
export function driftsOf(runs: readonly TaggedRun[], control: ControlSetting, isIdle: boolean): BenchDrift[] {
  const key = settingKey(control);
  const there = runs.filter((run) => settingKey(run) === key);
  const onMount = there.filter((run) => run.mountId === control.mountId);
  return followed.flatMap((measure) => {
    const byMount = measureTraits[measure].byMount;
    const isFollowed = byMount && daysRead(onMount, measure, isIdle) >= 2;
    const of = isFollowed ? onMount : there;
    const drift = driftOf(of, control, measure, isIdle);
    const remounted = byMount && !isFollowed && drift.days.length >= 2;
    return drift.days.length === 0
      ? []
      : [{ ...drift, remounted, ...(remounted && { words: remountedWords(drift) }) }];
  });
}

const daysRead = (runs: readonly TaggedRun[], measure: RunMeasure, isIdle: boolean): number =>
  daysOf(runs.filter((run) => isSteady(run) && measured(measure, run, isIdle) !== null));

const remountedWords = ({ difference, unit }: Drift): string =>
  `The control run moved by ${signed(difference ?? 0)} ${unit}, but the cooler was put on again between the days, which alone moves it by degrees: nothing can be said of the bench.`;

const signed = (value: number): string => `${value < 0 ? "−" : "+"}${Math.abs(value).toFixed(1)}`;

/** The drift that speaks for the bench: load temperature on one mount, else the first that can be told. */
export const tellingDrift = (drifts: readonly BenchDrift[]): BenchDrift | undefined =>
  drifts.find(
    (drift) => drift.measure === "loadRise" && !drift.remounted && drift.verdict !== "not-enough",
  ) ??
  drifts.find((drift) => !drift.remounted && drift.verdict !== "not-enough") ??
  drifts[0];
