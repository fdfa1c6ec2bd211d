import { coverageFactor } from "../../numerics/combinedUncertainty.ts";
import { groupedBy } from "../../numerics/groups.ts";
import { mean, pooledVariance } from "../../numerics/moments.ts";
import { type ElectricalRun, keptRunning, trueClockMhz } from "../runs/electricalRun.ts";
import { clockWords, type UnitOfClock } from "../things/words.ts";

/** What one setting gives for its power; ends at 95 % by the scatter of readings, null where it is not known. */
export type Efficiency = Readonly<{
  clockMhz: number;
  voltageMv: number;
  powerW: number;
  score: number | null;
  mhzPerW: number;
  mhzPerWEnds: Ends | null;
  scorePerW: number | null;
  scorePerWEnds: Ends | null;
  runs: number;
}>;

type Ends = readonly [low: number, high: number];

/** How far the mean reading of one setting may lie off, 95 %, as a share of itself; what spread its readings had is in it. */
type MeanOff = (runs: readonly ElectricalRun[], meanW: number) => number;

/** The same of power and of one score; null where it was not found. */
type ReadingDoubt = Readonly<{ power: MeanOff | null; score: number | null }>;

/** The efficiency of every setting of one workload with power read at the place given, lowest clock first. */
export function efficiencyOf(
  runs: readonly ElectricalRun[],
  workloadId: string,
  powerAt: "chip" | "board" | "wall",
  powerOff: MeanOff | null = null,
): Efficiency[] {
  const read = runs.filter(
    (run) =>
      run.workloadId === workloadId &&
      run.powerW !== null &&
      run.powerW > 0 &&
      (run.powerAt ?? "chip") === powerAt &&
      keptRunning(run) &&
      trueClockMhz(run) !== null,
  );
  const settings = [...groupedBy(read, (run) => `${run.clockMhz} ${run.voltageMv}`).values()];
  const doubt = { power: powerOff, score: scoreDoubtOf(settings) };
  return settings
    .map((same) => efficiencyAt(same, doubt))
    .sort((first, second) => first.clockMhz - second.clockMhz || first.voltageMv - second.voltageMv);
}

/** Pooled over settings that were scored twice or more. */
function scoreDoubtOf(settings: readonly (readonly ElectricalRun[])[]): number | null {
  const logs = settings.map((runs) =>
    runs.flatMap(({ score }) => (score === null || score <= 0 ? [] : [Math.log(score)])),
  );
  const pooled = pooledVariance(logs);
  if (pooled === undefined) return null;
  return Math.sqrt(pooled.variance) * coverageFactor(0.95, pooled.degreesOfFreedom)!;
}

function efficiencyAt(runs: readonly ElectricalRun[], doubt: ReadingDoubt): Efficiency {
  const { clockMhz, voltageMv } = runs[0]!;
  const scores = runs.flatMap((run) => run.score ?? []);
  const powerW = mean(runs.map((run) => run.powerW!))!;
  const score = mean(scores) ?? null;
  const mhzPerW = mean(runs.map((run) => trueClockMhz(run)!))! / powerW;
  const scorePerW = score === null ? null : score / powerW;
  const powerShare = doubt.power?.(runs, powerW) ?? null;
  const scoreShare = doubt.score === null ? null : doubt.score / Math.sqrt(Math.max(1, scores.length));
  const both = powerShare === null || scoreShare === null ? null : Math.hypot(powerShare, scoreShare);
  return {
    clockMhz,
    voltageMv,
    powerW,
    score,
    mhzPerW,
    mhzPerWEnds: endsOf(mhzPerW, powerShare),
    scorePerW,
    scorePerWEnds: endsOf(scorePerW, both),
    runs: runs.length,
  };
}

const endsOf = (value: number | null, share: number | null): Ends | null =>
  value === null || share === null ? null : [value * Math.exp(-share), value * Math.exp(share)];

/** What the step to a setting costs over the one before, in watts and in shares. */
export type StepCost = Readonly<{
  fromMhz: number;
  toMhz: number;
  extraW: number;
  /** The 95 % ends of the watts by the scatter of the readings at both settings; null where it is not known. */
  extraWEnds: Ends | null;
  extraPowerShare: number;
  extraClockShare: number;
  extraScoreShare: number | null;
  words: string;
}>;

/** What the last step up to the clock given costs, at the lowest voltage each clock was read at; undefined without a lower one. */
export function lastStepCost(
  settings: readonly Efficiency[],
  clockMhz: number,
  powerDoubt: number | null = null,
  unit: UnitOfClock = "MHz",
): StepCost | undefined {
  const cheapest = [...groupedBy(settings, (setting) => setting.clockMhz).values()].map((same) => same[0]!);
  const index = cheapest.findIndex((setting) => setting.clockMhz === clockMhz);
  const [before, at] = [cheapest[index - 1], cheapest[index]];
  if (before === undefined || at === undefined) return undefined;
  const extraW = at.powerW - before.powerW;
  const doubtOf = ({ powerW, runs }: Efficiency): number => ((powerDoubt ?? 0) * powerW) / Math.sqrt(runs);
  const half = Math.hypot(doubtOf(before), doubtOf(at));
  const cost = {
    fromMhz: before.clockMhz,
    toMhz: at.clockMhz,
    extraW,
    extraWEnds: powerDoubt === null ? null : ([extraW - half, extraW + half] as const),
    extraPowerShare: extraW / before.powerW,
    extraClockShare: at.clockMhz / before.clockMhz - 1,
    extraScoreShare: at.score === null || before.score === null ? null : at.score / before.score - 1,
  };
  return { ...cost, words: costWords(cost, unit) };
}

function costWords(
  { fromMhz, toMhz, extraW, extraPowerShare, extraClockShare, extraScoreShare }: Omit<StepCost, "words">,
  unit: UnitOfClock,
): string {
  const gain =
    extraScoreShare === null ? `${percent(extraClockShare)} clock` : `${percent(extraScoreShare)} score`;
  const watts = `${Math.abs(extraW).toFixed(0)} W ${extraW < 0 ? "less" : "more"}`;
  return `From ${fromMhz} to ${clockWords(toMhz, unit)}: ${watts} (${percent(extraPowerShare)}) for ${gain}.`;
}

const percent = (share: number): string => `${share < 0 ? "−" : "+"}${Math.abs(share * 100).toFixed(1)} %`;
