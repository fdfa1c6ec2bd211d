import { studentQuantile } from "../../numerics/distributions.ts";
import { groupedBy } from "../../numerics/groups.ts";
import { mean, pooledVariance } from "../../numerics/moments.ts";
import { halfWidth95, straightLine } from "../../numerics/straightLine.ts";
import { toleranceFactor } from "../../numerics/toleranceFactor.ts";
import type { Attempt } from "../things/attempt.ts";
import { outcomeClass } from "../things/outcome.ts";
import type { Setting } from "../things/setting.ts";
import { clockWords, type UnitOfClock } from "../things/words.ts";

/** The part of an attempt that its benchmark result is judged by. */
export type ScoredRun = Readonly<
  Pick<
    Attempt,
    | "id"
    | "workloadId"
    | "clockMhz"
    | "voltageMv"
    | "outcome"
    | "score"
    | "effectiveClockMhz"
    | "throttled"
    | "correctedErrors"
    | "loadTempC"
  >
> &
  Setting;

/** One clock's result, the mean over its runs. */
export type ScoreAtClock = Readonly<{
  clockMhz: number;
  score: number;
  runs: number;
  /** What nine runs in ten at least reach (or at most take), 95 % sure; null under three runs. */
  dependable: number | null;
}>;

/** A higher clock that did worse than a lower one. */
type ScoreFall = Readonly<{
  fromMhz: number;
  toMhz: number;
  /** How much worse, as a share. */
  worseShare: number;
  /** Null where no repeat shows how far results scatter. */
  isBeyondScatter: boolean | null;
  check: readonly string[];
}>;

export type ScoreScaling = Readonly<{
  byClock: readonly ScoreAtClock[];
  /** Per cent of result gained per per cent of clock, with its 95 % ends; null under two clocks. */
  elasticity: number | null;
  elasticityLow: number | null;
  elasticityHigh: number | null;
  falls: readonly ScoreFall[];
  words: string;
}>;

/** How the result follows the clock under one workload of one build; `better` says which way is better. */
export function scoreScalingOf(
  runs: readonly ScoredRun[],
  workloadId: string,
  better: "higher" | "lower",
  unit: UnitOfClock = "MHz",
): ScoreScaling {
  const scored = runs.filter(
    (run) => run.workloadId === workloadId && isFinished(run) && (run.score ?? 0) > 0,
  );
  const clocks = [...groupedBy(scored, (run) => run.clockMhz)].sort(([a], [b]) => a - b);
  const byClock = clocks.map(([clockMhz, of]) => atClock(clockMhz, of, better));
  const line = straightLine(scored.map((run) => [Math.log(run.clockMhz), Math.log(run.score!)] as const));
  const sign = better === "higher" ? 1 : -1;
  const half = line === undefined ? undefined : halfWidth95(line.slopeError, line.degreesOfFreedom);
  const elasticity = line === undefined ? null : sign * line.slope;
  const falls = fallsOf(clocks, better);
  return {
    byClock,
    elasticity,
    elasticityLow: elasticity === null || half === undefined ? null : elasticity - half,
    elasticityHigh: elasticity === null || half === undefined ? null : elasticity + half,
    falls,
    words: scalingWords(elasticity, half, falls, unit),
  };
}

const isFinished = ({ outcome }: ScoredRun): boolean =>
  outcomeClass(outcome) === "pass" || outcomeClass(outcome) === "stopped";

function atClock(clockMhz: number, runs: readonly ScoredRun[], better: "higher" | "lower"): ScoreAtClock {
  const scores = runs.map((run) => run.score!);
  return { clockMhz, score: mean(scores)!, runs: runs.length, dependable: dependableOf(scores, better) };
}

/** A one-sided tolerance bound: nine runs in ten, 95 % sure. */
function dependableOf(scores: readonly number[], better: "higher" | "lower"): number | null {
  if (scores.length < 3) return null;
  const deviation = Math.sqrt(pooledVariance([scores])!.variance);
  const factor = toleranceFactor(scores.length, 0.9, 0.95)!;
  return mean(scores)! + (better === "higher" ? -1 : 1) * factor * deviation;
}

type Clocks = readonly (readonly [number, readonly ScoredRun[]])[];

function fallsOf(clocks: Clocks, better: "higher" | "lower"): ScoreFall[] {
  const scatter = pooledVariance(
    clocks.flatMap(([, runs]) =>
      [...groupedBy(runs, (run) => run.voltageMv).values()].map((same) =>
        same.map((run) => Math.log(run.score!)),
      ),
    ),
  );
  return clocks.slice(1).flatMap(([toMhz, runs], index) => {
    const [fromMhz, before] = clocks[index]!;
    const logs = [before, runs].map((of) => mean(of.map((run) => Math.log(run.score!)))!) as [number, number];
    const worse = better === "higher" ? logs[0] - logs[1] : logs[1] - logs[0];
    if (!(worse > 0)) return [];
    const standard = scatter && Math.sqrt(scatter.variance * (1 / before.length + 1 / runs.length));
    const factor = scatter && studentQuantile(0.95, scatter.degreesOfFreedom);
    const isBeyondScatter = standard === undefined || factor === undefined ? null : worse > factor * standard;
    return [{ fromMhz, toMhz, worseShare: 1 - Math.exp(-worse), isBeyondScatter, check: whatToCheck(runs) }];
  });
}

/** What usually lies behind a higher clock doing worse, what the record shows first. */
function whatToCheck(runs: readonly ScoredRun[]): string[] {
  const shown: string[] = [];
  if (runs.some((run) => (run.correctedErrors ?? 0) > 0))
    shown.push("errors were corrected during the run: the memory or a link is past its limit");
  if (runs.some((run) => run.throttled === true))
    shown.push("it throttled: heat or a power limit held it back");
  if (runs.some((run) => run.effectiveClockMhz !== null && run.effectiveClockMhz < 0.99 * run.clockMhz))
    shown.push("the effective clock lies below the set one: the clock was stretched");
  return shown.length > 0
    ? shown
    : [
        "read the effective clock, the corrected errors and the temperature in the next run",
        "repeat both runs, with nothing else running",
      ];
}

function scalingWords(
  elasticity: number | null,
  half: number | undefined,
  falls: readonly ScoreFall[],
  unit: UnitOfClock,
): string {
  const fall = falls.find((one) => one.isBeyondScatter !== false);
  if (fall !== undefined)
    return `${clockWords(fall.toMhz, unit)} did ${(fall.worseShare * 100).toFixed(1)} % worse than ${clockWords(fall.fromMhz, unit)}${fall.isBeyondScatter === null ? ", from single runs" : ""}: ${fall.check[0]}.`;
  if (elasticity === null) return "Results at two clocks are the least that shows what the clock brings.";
  const told = (value: number): string => value.toFixed(1).replace("-", "−");
  const ends = half === undefined ? "" : ` (${told(elasticity - half)} to ${told(elasticity + half)})`;
  return `Each per cent of clock brings ${told(elasticity)} %${ends} of result.`;
}
