import type { BuildAnswer } from "../../answers/answerOf.ts";
import type { Comparison } from "../../bench/comparison/comparison.ts";
import type { BenchDrift } from "../../bench/comparison/control.ts";
import type { FrontierPoint } from "../../bench/frontier/frontierPoint.ts";
import type { Rule } from "../../bench/things/rule.ts";
import type { Workload } from "../../bench/things/workload.ts";
import type { Choice } from "../../html/field.tsx";
import type { BandPoint } from "../../html/plot.ts";
import type { Look } from "../kit/buildLooks.ts";
import type { GivenTyped } from "./given.tsx";
import type { Pair } from "./tables.tsx";

export type ComparisonShown = Readonly<{
  pair: Pair;
  sameChip: boolean;
  chipName: string;
  chipId: string;
  compared: Comparison;
  /** What each is to run, for its own aim. */
  answers: readonly [BuildAnswer, BuildAnswer];
  /** False while the fitted limits are being worked out. */
  isFresh: boolean;
  /** The fitted limits over the voltages each was tried at: volts, least and most MHz. */
  curves: Readonly<{ a: readonly BandPoint[]; b: readonly BandPoint[] }>;
  /** How each is drawn, here as everywhere. */
  looks: readonly Look[];
  pointsA: readonly FrontierPoint[];
  pointsB: readonly FrontierPoint[];
  rules: readonly Rule[];
  workloads: readonly Workload[];
  ruleId: string;
  ruleName: string;
  /** The rule the address asks for; null where it is the build's own. */
  askedRuleId: string | null;
  workloadId: string | null;
  choices: readonly Choice[];
  given: GivenTyped;
  /** What control runs say of the bench these were measured on; null where there is none. */
  drift: BenchDrift | null;
  /** Other builds of the chip, for the way to all of them. */
  siblings: readonly string[];
}>;
