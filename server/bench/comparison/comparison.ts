import type { NoiseReading } from "../noise/noiseReading.ts";
import { type LoudnessRow, loudnessRows } from "./loudness.ts";
import { type LoadVoltages, sameLoadVoltageRows } from "./sameLoadVoltage.ts";
import {
  type SameSettingQuestion,
  type SameSettingRow,
  sameSettingRows,
  sameSettingScores,
} from "./sameSetting.ts";
import { type SameVoltageQuestion, type SameVoltageRow, sameVoltageRows } from "./sameVoltage.ts";
import { type ComparisonWords, wordsOfComparison } from "./sentence.ts";

export type ComparisonQuestion = SameSettingQuestion &
  Readonly<{
    clocks: Omit<SameVoltageQuestion, "assumptions">;
    /** Given where clocks are to be compared at the same voltage under load. */
    loadVoltages: readonly [LoadVoltages, LoadVoltages] | null;
    noise: readonly [readonly NoiseReading[], readonly NoiseReading[]];
  }>;

export type Comparison = ComparisonWords &
  Readonly<{
    sameVoltage: readonly SameVoltageRow[];
    sameSetting: readonly SameSettingRow[];
    noise: readonly LoudnessRow[];
    score: readonly SameSettingRow[];
  }>;

/** Two builds on every measure, with one plain sentence first. */
export function comparisonOf(question: ComparisonQuestion): Comparison {
  const rows = {
    sameVoltage: clocksOf(question),
    sameSetting: sameSettingRows(question),
    noise: loudnessRows(question.noise[0], question.noise[1], question.assumptions),
    score: sameSettingScores(question),
  };
  const words = wordsOfComparison({
    ...rows,
    aName: question.a.name,
    bName: question.b.name,
    sameChip: question.a.chipId === question.b.chipId,
    clockStepMhz: question.assumptions.clockStepMhz,
  });
  return { ...words, ...rows };
}

function clocksOf({ clocks, loadVoltages, assumptions }: ComparisonQuestion): SameVoltageRow[] {
  const asked = { ...clocks, assumptions };
  if (loadVoltages === null) return sameVoltageRows(asked);
  return sameLoadVoltageRows({
    ...asked,
    loadVoltagesOfA: loadVoltages[0],
    loadVoltagesOfB: loadVoltages[1],
  });
}
