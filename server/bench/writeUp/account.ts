import type { ToldAnswer } from "../best/answerWords.ts";
import type { Comparison } from "../comparison/comparison.ts";
import type { FrontierPoint } from "../frontier/frontierPoint.ts";
import type { OffsetFrontier } from "../frontier/offsetFrontier.ts";
import type { HeatRun } from "../heat/heatReading.ts";
import type { NoiseReading } from "../noise/noiseReading.ts";
import type { Attempt } from "../things/attempt.ts";
import type { KeptFields } from "../things/attemptFields.ts";
import type { Board } from "../things/board.ts";
import type { Build, Mount } from "../things/build.ts";
import type { Chip } from "../things/chip.ts";
import type { Rule } from "../things/rule.ts";
import type { Version } from "../things/version.ts";
import type { Workload } from "../things/workload.ts";
import type { OwnWordsBySlot } from "./block.ts";
import type { StatedUse } from "./statedUse.ts";

/** One build with everything the account says of it. */
export type AccountedBuild = Readonly<{
  build: Build;
  chip: Chip;
  board: Board;
  mounts: readonly Mount[];
  /** Of its firmware and its driver, oldest first. */
  versions?: readonly Version[];
  /** Every ended attempt that is not set aside, whatever it was set by. */
  runs: readonly AccountedRun[];
  noise: readonly NoiseReading[];
  points: readonly FrontierPoint[];
  /** Of a chip that is set by offset. */
  byOffset?: OffsetFrontier | null;
  /** What the frontier warns of, in words. */
  warnings: readonly string[];
}>;

/** What the account says of an attempt by itself. */
export type AccountedRun = Pick<Attempt, "mountId" | "startedAt" | "durationS" | "ambientC"> &
  Readonly<{ [Name in keyof KeptFields]?: KeptFields[Name] | undefined }>;

/** A build's one answer to its own aim. */
type AccountedAnswer = Readonly<{ buildName: string; answer: ToldAnswer }>;

/** The setting to run for one use of one build, or why there is none. */
export type Recommendation = Readonly<{
  buildName: string;
  /** Such as "short loads", "long loads", "quiet". */
  use: string;
  setting: Readonly<{ clockMhz: number; voltageMv: number }> | null;
  /** What is set, where it is no clock at a voltage; null else. */
  set?: string | null;
  because: readonly string[];
}>;

export type AccountedComparison = Readonly<{
  aName: string;
  bName: string;
  comparison: Comparison;
  /** What both show where they are equally loud; null where they were not read so. */
  equalLoudness: string | null;
}>;

/** Heat runs at one setting under one load, one of each build that has a log of it. */
export type AccountedHeat = Readonly<{
  /** "4300 MHz at 1.15 V under Stacking". */
  setting: string;
  /** False where a room is not known: then the room is in what is drawn. */
  asRise: boolean;
  runs: readonly Readonly<{ buildName: string; run: HeatRun }>[];
  /** The builds that have no such log. */
  without: readonly string[];
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
  /** Null where no build has a log with a temperature. */
  heat: AccountedHeat | null;
  /** One for each build. */
  answers: readonly AccountedAnswer[];
  recommendations: readonly Recommendation[];
  pictures: readonly AccountedPicture[];
  own: OwnWordsBySlot;
}>;

export const workloadName = (account: Account, workloadId: string | null): string =>
  workloadId === null ? "any load" : (account.workloads.get(workloadId)?.name ?? "a load since removed");
