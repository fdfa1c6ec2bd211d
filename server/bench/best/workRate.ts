import { mean } from "../../numerics/moments.ts";
import { evidenceClockMhz } from "../frontier/evidence.ts";
import { type ScoredRun, scoreScalingOf } from "../runs/score.ts";
import type { Attempt } from "../things/attempt.ts";
import { outcomeClass } from "../things/outcome.ts";
import type { Workload } from "../things/workload.ts";

/** A run that carries a score, with the mode its clock was in. */
export type WorkRun = ScoredRun & Readonly<Pick<Attempt, "clockMode">>;

/** How much work a build does at a clock under one load, by its own scores. */
export type WorkRate = Readonly<{
  workloadId: string;
  workAt: (clockMhz: number) => number;
  /** In the load's own unit, whichever way is better. */
  scoreAt: (clockMhz: number) => number;
  runs: number;
  fromMhz: number;
  toMhz: number;
}>;

export type NoWorkRate = Readonly<{ unknown: string }>;

/** The runs whose score says what a clock brings: finished, not on boost, each at the clock it speaks of. */
export const scoredRunsOf = (runs: readonly WorkRun[]): WorkRun[] =>
  runs.flatMap((run) => {
    const clockMhz = run.clockMode === "boost" ? null : evidenceClockMhz(run);
    const finished = outcomeClass(run.outcome) === "pass" || outcomeClass(run.outcome) === "stopped";
    return finished && clockMhz !== null && run.score !== null && run.score > 0 ? [{ ...run, clockMhz }] : [];
  });

/** Scores closer together than this share of the clock say nothing of what the clock brings. */
const leastSpread = 0.02;

/** Under the load asked for, else under the one scored over the widest span of clocks. */
export function workRateOf(
  runs: readonly WorkRun[],
  workloads: readonly Workload[],
  asked: string | null,
): WorkRate | NoWorkRate {
  const scored = scoredRunsOf(runs);
  const usable = workloads.filter(({ id, kind }) => (asked === null ? kind !== "idle" : id === asked));
  const [most] = usable
    .map((load) => ({ load, own: scored.filter(({ workloadId }) => workloadId === load.id) }))
    .filter(({ own }) => own.length > 0)
    .sort((a, b) => spreadOf(b.own) - spreadOf(a.own) || b.own.length - a.own.length);
  if (most === undefined)
    return {
      unknown: asked === null ? "no attempt carries a score" : "no attempt under this load carries a score",
    };
  if (spreadOf(most.own) < leastSpread)
    return { unknown: `${most.load.name} was scored at one clock only, or at clocks too close together` };
  return rateFrom(most.own, most.load);
}

const spreadOf = (runs: readonly WorkRun[]): number => {
  const clocks = runs.map(({ clockMhz }) => clockMhz);
  return clocks.reduce((a, b) => Math.max(a, b)) / clocks.reduce((a, b) => Math.min(a, b)) - 1;
};

/**
 * A straight line in the logarithms through the scores. Work grows no faster than the clock: a steeper line is scatter.
 * From a clock on that did worse than a lower one, beyond scatter, more clock counts as no more work.
 */
function rateFrom(own: readonly WorkRun[], { id, scoreBetter }: Workload): WorkRate {
  const better = scoreBetter ?? "higher";
  const fall = scoreScalingOf(own, id, better).falls.find(({ isBeyondScatter }) => isBeyondScatter === true);
  const topMhz = fall?.fromMhz ?? Number.POSITIVE_INFINITY;
  const told = own.filter(({ clockMhz }) => clockMhz <= topMhz);
  const { elasticity } = scoreScalingOf(told, id, better);
  const perClock = Math.min(1, Math.max(0, elasticity ?? 0));
  const middle = centreOf(told);
  const workAt = (clockMhz: number): number =>
    Math.exp(perClock * (Math.log(Math.min(clockMhz, topMhz)) - middle.logClock));
  const clocks = [...new Set(own.map(({ clockMhz }) => clockMhz))].sort((a, b) => a - b);
  return {
    workloadId: id,
    workAt,
    scoreAt: (clockMhz) => Math.exp(middle.logScore) * workAt(clockMhz) ** (better === "higher" ? 1 : -1),
    runs: own.length,
    fromMhz: clocks[0]!,
    toMhz: clocks.at(-1)!,
  };
}

/** The point that a least-squares line passes through. */
const centreOf = (runs: readonly WorkRun[]): Readonly<{ logClock: number; logScore: number }> => ({
  logClock: mean(runs.map(({ clockMhz }) => Math.log(clockMhz)))!,
  logScore: mean(runs.map(({ score }) => Math.log(score!)))!,
});
