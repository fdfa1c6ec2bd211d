import { hotMinutes } from "../heat/hotMinutes.ts";
import { idleShareOfRise } from "../heat/warmUp.ts";
import { usualHazardPerC } from "../limit/hotTables.ts";
import { chancesOfStart, hazardsAt, type LimitDraws } from "../limit/limitReach.ts";
import type { BenchCosts } from "./benchCosts.ts";

/** Durations worth proposing, in minutes. */
export const trialMinutes = [5, 10, 20, 40, 60] as const;

/** Nobody watches a run for longer than this that will likely fail. */
export const longestLongShotMinutes = 10;
const longShotChance = 0.3;
export const isLongShot = ({
  minutes,
  chanceOfPass,
}: Readonly<{ minutes: number; chanceOfPass: number }>): boolean =>
  minutes > longestLongShotMinutes && chanceOfPass < longShotChance;

/** How an attempt that started may end: in the first minute, in the first third, later, or with a pass. */
export type EndBins = Readonly<{ edges: readonly number[]; hot: readonly number[] }>;

/** Even a cold chip crashes within a minute at a clock far too high. */
const leastHotMinutes = 0.15;

export function endBinsOf(minutes: number, steadyTempC: number, startTempC: number): EndBins {
  const edges = [0, 1, Math.max(2, 0.35 * minutes), minutes].filter(
    (edge, i, all) => i === 0 || edge > all[i - 1]!,
  );
  const hot = edges.map((edge, i) =>
    Math.max(hotMinutes(edge, steadyTempC - startTempC, usualHazardPerC), i === 1 ? leastHotMinutes : 0),
  );
  return { edges, hot };
}

/** What one attempt would bring at a setting: for each draw, the chance of each end. */
export type TrialForecast = Readonly<{
  clockMhz: number;
  voltageMv: number;
  minutes: number;
  /** One array per end, no start first and the pass last; each holds the chance of that end for every draw. */
  ends: readonly Float64Array[];
  chanceOfPass: number;
  expectedMinutes: number;
}>;

export function trialForecastsOf(
  draws: LimitDraws,
  setting: Readonly<{ clockMhz: number; voltageMv: number }>,
  durations: readonly number[],
  costs: BenchCosts,
): TrialForecast[] {
  const { clockMhz, voltageMv } = setting;
  const hazards = hazardsAt(draws, clockMhz, voltageMv);
  const starting = chancesOfStart(draws, hazards);
  const riseC = draws.fit.heat.riseC(clockMhz, voltageMv, draws.workloadId);
  return durations.map((minutes) => {
    const bins = endBinsOf(minutes, draws.roomC + riseC, draws.roomC + idleShareOfRise * riseC);
    return { clockMhz, voltageMv, minutes, ...endsOf(draws, { hazards, starting }, bins, costs) };
  });
}

function endsOf(
  draws: LimitDraws,
  { hazards, starting }: Readonly<{ hazards: Float64Array; starting: Float64Array }>,
  { edges, hot }: EndBins,
  costs: BenchCosts,
): Pick<TrialForecast, "ends" | "chanceOfPass" | "expectedMinutes"> {
  const unstarted = starting.map((chance) => 1 - chance);
  const ends: Float64Array[] = [unstarted];
  let expectedMinutes = costs.setupMinutes + weightedMean(draws, unstarted) * costs.noStartMinutes;
  let surviving = starting;
  for (let bin = 1; bin < edges.length; bin++) {
    const left = survivalAt(hazards, draws, hot[bin]!, edges[bin]!);
    for (let k = 0; k < left.length; k++) left[k] = Math.min(left[k]! * starting[k]!, surviving[k]!);
    const ended = surviving.map((before, k) => before - left[k]!);
    expectedMinutes +=
      weightedMean(draws, ended) * ((edges[bin - 1]! + edges[bin]!) / 2 + costs.crashMinutes);
    ends.push(ended);
    surviving = left;
  }
  ends.push(surviving);
  const chanceOfPass = Math.min(1, weightedMean(draws, surviving));
  return { ends, chanceOfPass, expectedMinutes: expectedMinutes + chanceOfPass * edges[edges.length - 1]! };
}

const survivalAt = (
  hazards: Float64Array,
  { stray }: LimitDraws,
  hot: number,
  minutes: number,
): Float64Array => hazards.map((hazard, k) => Math.exp(-(hazard * hot + stray[k]! * minutes)));

function weightedMean({ weights }: LimitDraws, values: Float64Array): number {
  let sum = 0;
  for (let k = 0; k < values.length; k++) sum += weights[k]! * values[k]!;
  return sum;
}
