import type { AttemptDraft } from "../bench/things/attempt.ts";
import type { Build } from "../bench/things/build.ts";
import type { SeededRandom } from "../numerics/seededRandom.ts";
import type { Scenario } from "./scenario.ts";

/** A chip, a board, a load and a build of them, and what its evening wrote down. */
export type OtherBench = Readonly<{
  scenario: Omit<Scenario, "builds" | "mounts" | "attempts" | "noise">;
  build: Build;
  paste: string;
  evening: (diary: EveningDiary, random: SeededRandom) => void;
}>;

/** Writes attempts down one after another, each begun when the one before has ended. */
export type EveningDiary = Readonly<{
  wrote: (draft: AttemptDraft & Readonly<{ durationS: number }>) => void;
  rest: (minutes: number) => void;
}>;
