import { groupedBy } from "../../numerics/groups.ts";
import { mean } from "../../numerics/moments.ts";
import { type ElectricalRun, keptRunning, trueClockMhz } from "../runs/electricalRun.ts";

/** What one setting gives for its power. */
export type Efficiency = Readonly<{
  clockMhz: number;
  voltageMv: number;
  powerW: number;
  score: number | null;
  mhzPerW: number;
  scorePerW: number | null;
  runs: number;
}>;

/** The efficiency of every setting of one workload with power read at the place given, lowest clock first. */
export function efficiencyOf(
  runs: readonly ElectricalRun[],
  workloadId: string,
  powerAt: "chip" | "board" | "wall",
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
  return [...groupedBy(read, (run) => `${run.clockMhz} ${run.voltageMv}`).values()]
    .map(efficiencyAt)
    .sort((first, second) => first.clockMhz - second.clockMhz || first.voltageMv - second.voltageMv);
}

function efficiencyAt(runs: readonly ElectricalRun[]): Efficiency {
  const { clockMhz, voltageMv } = runs[0]!;
  const powerW = mean(runs.map((run) => run.powerW!))!;
  const score = mean(runs.flatMap((run) => run.score ?? [])) ?? null;
  const trueMhz = mean(runs.map((run) => trueClockMhz(run)!))!;
  return {
    clockMhz,
    voltageMv,
    powerW,
    score,
    mhzPerW: trueMhz / powerW,
    scorePerW: score === null ? null : score / powerW,
    runs: runs.length,
  };
}

/** What the step to a setting costs over the one before, in watts and in shares. */
export type StepCost = Readonly<{
  fromMhz: number;
  toMhz: number;
  extraW: number;
  extraPowerShare: number;
  extraClockShare: number;
  extraScoreShare: number | null;
  words: string;
}>;

/** What the last step up to the clock given costs, at the lowest voltage each clock was read at; undefined without a lower one. */
export function lastStepCost(settings: readonly Efficiency[], clockMhz: number): StepCost | undefined {
  const cheapest = [...groupedBy(settings, (setting) => setting.clockMhz).values()].map((same) => same[0]!);
  const index = cheapest.findIndex((setting) => setting.clockMhz === clockMhz);
  const [before, at] = [cheapest[index - 1], cheapest[index]];
  if (before === undefined || at === undefined) return undefined;
  const extraW = at.powerW - before.powerW;
  const cost = {
    fromMhz: before.clockMhz,
    toMhz: at.clockMhz,
    extraW,
    extraPowerShare: extraW / before.powerW,
    extraClockShare: at.clockMhz / before.clockMhz - 1,
    extraScoreShare: at.score === null || before.score === null ? null : at.score / before.score - 1,
  };
  return { ...cost, words: costWords(cost) };
}

function costWords({
  fromMhz,
  toMhz,
  extraW,
  extraPowerShare,
  extraClockShare,
  extraScoreShare,
}: Omit<StepCost, "words">): string {
  const gain =
    extraScoreShare === null ? `${percent(extraClockShare)} clock` : `${percent(extraScoreShare)} score`;
  const watts = `${Math.abs(extraW).toFixed(0)} W ${extraW < 0 ? "less" : "more"}`;
  return `From ${fromMhz} to ${toMhz} MHz: ${watts} (${percent(extraPowerShare)}) for ${gain}.`;
}

const percent = (share: number): string => `${share < 0 ? "−" : "+"}${Math.abs(share * 100).toFixed(1)} %`;
