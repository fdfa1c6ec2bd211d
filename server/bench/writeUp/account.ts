import type { ToldAnswer } from "../best/answerWords.ts";
import type { Comparison } from "../comparison/comparison.ts";
import type { FrontierPoint } from "../frontier/frontierPoint.ts";
import type { NoiseReading } from "../noise/noiseReading.ts";
import type { ComparedRun } from "../runs/comparedRun.ts";
import type { Board } from "../things/board.ts";
import type { Build, Mount } from "../things/build.ts";
import type { Chip } from "../things/chip.ts";
import type { Rule } from "../things/rule.ts";
import type { Workload } from "../things/workload.ts";
import type { OwnWordsBySlot } from "./block.ts";
import type { StatedUse } from "./statedUse.ts";

/** One build with everything the account says of it. */
export type AccountedBuild = Readonly<{
  build: Build;
  chip: Chip;
  board: Board;
  mounts: readonly Mount[];
  /** Every run that is not set aside. */
  runs: readonly ComparedRun[];
  noise: readonly NoiseReading[];
  points: readonly FrontierPoint[];
  /** What the frontier warns of, in words. */
  warnings: readonly string[];
}>;

/** A build's one answer to its own aim. */
export type AccountedAnswer = Readonly<{ buildName: string; answer: ToldAnswer }>;

/** The setting to run for one use of one build, or why there is none. */
export type Recommendation = Readonly<{
  buildName: string;
  /** Such as "short loads", "long loads", "quiet". */
  use: string;
  setting: Readonly<{ clockMhz: number; voltageMv: number }> | null;
  because: readonly string[];
}>;

export type AccountedComparison = Readonly<{
  aName: string;
  bName: string;
  comparison: Comparison;
  /** What both show where they are equally loud; null where they were not read so. */
  equalLoudness: string | null;
}>;

export type AccountedPicture = Readonly<{
  id: string;
  caption: string;
  widthPx: number;
  heightPx: number;
}>;

/** Everything that the account is written from. */
export type Account = Readonly<{
  title: string;
  /** Said under the title where the data is invented. */
  notice: string | null;
  /** When the journal was read. */
  asOf: string;
  use: StatedUse;
  builds: readonly AccountedBuild[];
  rule: Rule;
  workloads: ReadonlyMap<string, Workload>;
  comparisons: readonly AccountedComparison[];
  /** One for each build. */
  answers: readonly AccountedAnswer[];
  recommendations: readonly Recommendation[];
  pictures: readonly AccountedPicture[];
  own: OwnWordsBySlot;
}>;

export const workloadName = (account: Account, workloadId: string | null): string =>
  workloadId === null ? "any load" : (account.workloads.get(workloadId)?.name ?? "a load since removed");
