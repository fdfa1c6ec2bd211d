import { groupedBy } from "../../numerics/groups.ts";
import { mean, pooledVariance } from "../../numerics/moments.ts";
import { type ComparedRun, isSteady, measured, measureTraits, type RunMeasure } from "../runs/comparedRun.ts";
import { type Scatter, type SetUnder, settingKey } from "./scatter.ts";
import { type BudgetLine, budgetTotal, toMillionths, type Verdict, verdictOf } from "./verdict.ts";

/** A known setting, run again on every bench day. */
export type Control = SetUnder;

type ControlDay = Readonly<{ day: string; mean: number; runs: number; mounts: number }>;

/** Whether the bench has moved: each day against the first, and the days' own scatter. */
export type Drift = Readonly<{
  measure: RunMeasure;
  unit: string;
  days: readonly ControlDay[];
  /** The last day less the first, with its interval. */
  difference: number | null;
  low: number | null;
  high: number | null;
  verdict: Verdict;
  /** How far days lie apart; null under two days. */
  dayScatter: Scatter | null;
  words: string;
}>;

/** What the control runs of one build say of the bench; days are UTC dates unless shifted by the minutes east given. */
export function driftOf(
  runs: readonly ComparedRun[],
  control: Control,
  measure: RunMeasure,
  isIdle = false,
  offsetMinutes = 0,
): Drift {
  const key = settingKey(control);
  const fit = runs.filter((run) => settingKey(run) === key && isSteady(run) && run.throttled !== true);
  const readings = fit.flatMap((run) => {
    const value = measured(measure, run, isIdle);
    return value === null ? [] : [{ value, mountId: run.mountId, day: dayOf(run.startedAt, offsetMinutes) }];
  });
  const byDay = [...groupedBy(readings, (reading) => reading.day)].sort(([a], [b]) => (a < b ? -1 : 1));
  return driftBetween(measure, byDay);
}

const dayOf = (startedAt: string, offsetMinutes: number): string =>
  new Date(Date.parse(startedAt) + offsetMinutes * 60_000).toISOString().slice(0, 10);

type Reading = Readonly<{ value: number; mountId: string }>;

function driftBetween(measure: RunMeasure, byDay: readonly (readonly [string, readonly Reading[]])[]): Drift {
  const days = byDay.map(([day, readings]) => dayMean(day, readings));
  const unit = measureTraits[measure].unit;
  const [first, last] = [byDay[0]?.[1], byDay.at(-1)?.[1]];
  if (first === undefined || last === undefined || byDay.length < 2)
    return { measure, unit, days, ...undecided, dayScatter: null, words: tooFew(days.length) };
  const within = pooledVariance(byDay.map(([, readings]) => readings.map((reading) => reading.value)));
  const difference = toMillionths(days.at(-1)!.mean - days[0]!.mean);
  const ends = endsOf(difference, within, first.length, last.length);
  const verdict = verdictOf(ends.low, ends.high);
  return {
    measure,
    unit,
    days,
    difference,
    ...ends,
    verdict,
    dayScatter: dayScatterOf(days),
    words: driftWords(verdict, difference, ends, unit),
  };
}

const dayMean = (day: string, readings: readonly Reading[]): ControlDay => ({
  day,
  mean: toMillionths(mean(readings.map((reading) => reading.value))!),
  runs: readings.length,
  mounts: new Set(readings.map((reading) => reading.mountId)).size,
});

const undecided = { difference: null, low: null, high: null, verdict: "not-enough" } as const;

function endsOf(
  difference: number,
  within: ReturnType<typeof pooledVariance>,
  first: number,
  last: number,
): Pick<Drift, "low" | "high"> {
  if (within === undefined) return { low: null, high: null };
  const line: BudgetLine = {
    source: "run to run",
    a: Math.sqrt(within.variance / first),
    b: Math.sqrt(within.variance / last),
    from: "control runs of the same day, pooled",
    counted: true,
    degreesOfFreedom: within.degreesOfFreedom,
  };
  const expanded = budgetTotal([line])?.expanded;
  return expanded === undefined
    ? { low: null, high: null }
    : { low: toMillionths(difference - expanded), high: toMillionths(difference + expanded) };
}

function dayScatterOf(days: readonly ControlDay[]): Scatter | null {
  const pooled = pooledVariance([days.map((day) => day.mean)]);
  if (pooled === undefined) return null;
  const from = `${days.length} days of control runs`;
  return { standardDeviation: Math.sqrt(pooled.variance), degreesOfFreedom: pooled.degreesOfFreedom, from };
}

const tooFew = (days: number): string =>
  days === 0
    ? "No control run yet: repeat one known setting on every bench day, and drift shows."
    : "One day of control runs: run the same setting again on the next bench day.";

const driftWords = (
  verdict: Verdict,
  difference: number,
  { low, high }: Pick<Drift, "low" | "high">,
  unit: string,
): string => {
  const by = `${signed(difference)} ${unit}`.trim();
  if (low === null || high === null)
    return `The control run moved by ${by}; with one run a day that cannot be told from scatter. Run it twice a day.`;
  const range = `${signed(low)} to ${signed(high)}`;
  return verdict === "differs"
    ? `The bench has drifted by ${by} (${range}) from the first day to the last: compare builds of the same day.`
    : `The bench has not drifted beyond scatter: ${by} (${range}) from the first day to the last.`;
};

const signed = (value: number): string => `${value < 0 ? "−" : "+"}${Math.abs(value).toFixed(1)}`;
