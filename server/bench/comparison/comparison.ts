import type { NoiseReading } from "../noise/noiseReading.ts";
import type { UnitOfClock } from "../things/words.ts";
import { type JudgedClock, judgedClock } from "./clockApart.ts";
import { type LoudnessRow, loudnessRows } from "./loudness.ts";
import { type JudgedOffsets, judgedOffsets, type OffsetsQuestion } from "./offsetsApart.ts";
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
    /** Held and crashed clocks, and what a fit of both builds says of their limits. */
    clocks: Omit<SameVoltageQuestion, "assumptions">;
    /** Given where clocks are to be compared at the same voltage under load. */
    loadVoltages: readonly [LoadVoltages, LoadVoltages] | null;
    /** Given where both chips are set by the same kind of offset. */
    offsets?: OffsetsQuestion | null;
    noise: readonly [readonly NoiseReading[], readonly NoiseReading[]];
  }>;

export type Comparison = ComparisonWords &
  Readonly<{
    clockUnit: UnitOfClock;
    /** The difference in clock, one figure for all voltages. */
    clock: JudgedClock;
    /** The same for chips that are set by offset, part by part; null where they are not. */
    offsets: JudgedOffsets | null;
    sameVoltage: readonly SameVoltageRow[];
    sameSetting: readonly SameSettingRow[];
    noise: readonly LoudnessRow[];
    score: readonly SameSettingRow[];
  }>;

/** Two builds on every measure, with one plain sentence first. */
export function comparisonOf(question: ComparisonQuestion): Comparison {
  const { clockUnit = "MHz" } = question;
  const rows = {
    clock: judgedClock(question.clocks.apart ?? null, question.assumptions),
    offsets: question.offsets ? judgedOffsets(question.offsets) : null,
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
    clockUnit,
  });
  return { ...words, ...rows, clockUnit };
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
