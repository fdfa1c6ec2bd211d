import type { Attempt } from "../things/attempt.ts";
import type { Chip } from "../things/chip.ts";
import { offsetOf } from "../things/setting.ts";
import type { Workload } from "../things/workload.ts";

export type ScoredAttempt = Pick<
  Attempt,
  | "id"
  | "workloadId"
  | "outcome"
  | "score"
  | "clockMhz"
  | "voltageMv"
  | "offset"
  | "offsets"
  | "part"
  | "knobs"
  | "throttled"
  | "setAside"
>;

/** The work an attempt did by its score, beside that of easier passes near it. */
export type WorkDone = Readonly<{
  /** How many easier passes within 3 % of its clock were scored under the same load. */
  easier: number;
  /** How far its work a MHz lies under the middle of theirs, as a share; above it is negative. */
  underShare: number;
}>;

/** Two is the least that shows a scatter. */
const fewestEasier = 2;
const near = 1.03;
/** Two per cent under the work a clock of what was easier is no pass (common practice). */
const shortBy = 0.02;

/** Undefined where nothing was scored, or too little that was easier. */
export function workDoneOf(
  own: ScoredAttempt,
  runs: readonly ScoredAttempt[],
  chip: Pick<Chip, "axis" | "offset" | "stockClockMhz">,
  { scoreBetter }: Pick<Workload, "scoreBetter">,
): (WorkDone & Readonly<{ isSlower: boolean }>) | undefined {
  const workOf = ({ score }: ScoredAttempt): number =>
    scoreBetter === "lower" ? 1 / (score ?? Number.NaN) : (score ?? Number.NaN);
  const clockOf = clockBy(chip);
  const perClock = (run: ScoredAttempt): number => workOf(run) / clockOf(run);
  const isEasier = easierBy(chip, own);
  const easier = runs.filter(
    (run) => isScoredPass(run) && isAlike(run, own) && isEasier(run) && clockOf(own) / clockOf(run) <= near,
  );
  const middle = middleOf(easier.map(perClock));
  if (!isScoredPass(own) || easier.length < fewestEasier || middle === undefined) return undefined;
  const underShare = 1 - perClock(own) / middle;
  const leastWork = Math.min(...easier.map(workOf));
  // A load that gains little by the clock does no less work than before: only less work is slower.
  const isSlower = underShare >= shortBy && workOf(own) < leastWork;
  return { easier: easier.length, underShare, isSlower };
}

function middleOf(values: readonly number[]): number | undefined {
  const sorted = values.toSorted((a, b) => a - b);
  const half = sorted.length / 2;
  const [low, high] = [sorted[Math.ceil(half) - 1], sorted[Math.floor(half)]];
  return low === undefined || high === undefined ? undefined : (low + high) / 2;
}

const isScoredPass = ({ outcome, score, throttled, setAside }: ScoredAttempt): boolean =>
  outcome === "pass" && score !== null && score > 0 && throttled !== true && setAside === null;

const isAlike = (one: ScoredAttempt, other: ScoredAttempt): boolean =>
  one.workloadId === other.workloadId &&
  (one.part ?? null) === (other.part ?? null) &&
  JSON.stringify(one.knobs) === JSON.stringify(other.knobs);

type Axis = Pick<Chip, "axis" | "offset" | "stockClockMhz">;

/** The clock that was asked for; along an offset that moves no clock, or where nobody knows it, all alike. */
const clockBy =
  ({ axis, offset, stockClockMhz }: Axis) =>
  (run: ScoredAttempt): number => {
    if (axis === "clock") return run.clockMhz ?? Number.NaN;
    return offset?.unit === "MHz" && stockClockMhz !== null
      ? stockClockMhz + (offsetOf(run) ?? Number.NaN)
      : 1;
  };

/** Strictly easier than the run looked at: less clock or more voltage, or less of the offset. */
function easierBy({ axis, offset }: Axis, own: ScoredAttempt): (run: ScoredAttempt) => boolean {
  if (axis === "offset") {
    const level = (run: ScoredAttempt) => offsetOf(run) ?? Number.NaN;
    return (run) => (offset?.harder === "down" ? level(run) > level(own) : level(run) < level(own));
  }
  const [ownMhz, ownMv] = [own.clockMhz ?? Number.NaN, own.voltageMv ?? Number.NaN];
  return ({ clockMhz, voltageMv }) =>
    (clockMhz ?? Number.NaN) <= ownMhz &&
    (voltageMv ?? Number.NaN) >= ownMv &&
    (clockMhz !== ownMhz || voltageMv !== ownMv);
}
