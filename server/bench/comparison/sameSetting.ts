import { mean } from "../../numerics/moments.ts";
import {
  type ComparedBuild,
  type ComparedRun,
  measures,
  measureTraits,
  type RunMeasure,
} from "../runs/comparedRun.ts";
import { type KnobValues, knobValueWords } from "../things/asSet.ts";
import type { Chip } from "../things/chip.ts";
import type { Knob } from "../things/knob.ts";
import { asSetWords } from "../things/setting.ts";
import { clockWords, type UnitOfClock, volts, withinSentence } from "../things/words.ts";
import type { Assumptions } from "./assumptions.ts";
import { fansSetApart } from "./fanSweep.ts";
import { budgetOf, type KnownScatter, knownScatter, type ScatterRecord } from "./measureBudget.ts";
import { type MeasuredSides, repeatsOf, sidesOf } from "./measuredSide.ts";
import { whatWouldDecide } from "./moreRuns.ts";
import { type BySetting, scatterSource } from "./scatter.ts";
import { type BudgetLine, budgetTotal, toMillionths, type Verdict, verdictOf } from "./verdict.ts";

/** Two builds at the same clock, voltage and workload, by one measure. Differences are b minus a. */
export type SameSettingRow = Readonly<{
  /** Readings that may be unknown where an offset was set. */
  clockMhz: number | null;
  voltageMv: number | null;
  offset: number | null;
  offsets: Readonly<Record<string, number>> | null;
  part: string | null;
  knobs: KnobValues | null;
  /** The offset, and the knobs that stood elsewhere than usual, in words; null where it was a clock at a voltage. */
  set: string | null;
  workloadId: string;
  measure: RunMeasure;
  unit: string;
  a: number;
  b: number;
  difference: number;
  low: number | null;
  high: number | null;
  runs: readonly [number, number];
  mounts: readonly [number, number];
  verdict: Verdict;
  budget: readonly BudgetLine[];
  /** Why even a real difference does not matter: under a clock step, or under what the tester calls worth having. */
  smallerThan: "clock-step" | "worth-having" | null;
  /** What would decide it, as a sentence; null where it is decided. */
  wouldDecide: string | null;
  notes: readonly string[];
}>;

export type SameSettingQuestion = Readonly<{
  a: ComparedBuild;
  b: ComparedBuild;
  /** Other builds of the same chips, asked only for the scatter of their repeats. */
  others: readonly ComparedBuild[];
  idleWorkloadIds: ReadonlySet<string>;
  /** What the clocks of the chips are told in. */
  clockUnit?: UnitOfClock;
  /** Where both chips are set by the same kind of offset: how it and the knobs beside it are called. */
  offsetChip?: Pick<Chip, "offset" | "knobs"> | null;
  assumptions: Assumptions;
}>;

type Settings = Readonly<{ a: BySetting; b: BySetting; record: ScatterRecord }>;

/** Every measure at every setting that both builds ran, the load temperature first of its setting. */
export const sameSettingRows = (question: SameSettingQuestion): SameSettingRow[] =>
  rowsOf(question, measures);

/** Benchmark results at every setting that both builds ran. */
export const sameSettingScores = (question: SameSettingQuestion): SameSettingRow[] =>
  rowsOf(question, ["score"]);

function rowsOf(question: SameSettingQuestion, asked: readonly RunMeasure[]): SameSettingRow[] {
  const settings = settingsOf(question);
  return sharedSettings(settings).flatMap((key) =>
    asked.flatMap((measure) => rowOf(settings, key, measure, question) ?? []),
  );
}

function settingsOf({ a, b, others }: SameSettingQuestion): Settings {
  const sources = [a, b, ...others].map((build) => scatterSource(build.runs));
  return { a: sources[0]!.settings, b: sources[1]!.settings, record: { sources, found: new Map() } };
}

/** Best documented first: the setting with the most runs on the build that has fewer, then with the most at all. */
function sharedSettings({ a, b }: Settings): string[] {
  const shared = [...a.keys()].filter((key) => b.has(key));
  const depth = (key: string): number => Math.min(a.get(key)!.length, b.get(key)!.length);
  const all = (key: string): number => a.get(key)!.length + b.get(key)!.length;
  return shared.sort(
    (first, second) => depth(second) - depth(first) || all(second) - all(first) || (first < second ? -1 : 1),
  );
}

function rowOf(
  settings: Settings,
  key: string,
  measure: RunMeasure,
  question: SameSettingQuestion,
): SameSettingRow | undefined {
  const [runsA, runsB] = [settings.a.get(key)!, settings.b.get(key)!];
  const isIdle = question.idleWorkloadIds.has(runsA[0]!.workloadId);
  const sides = sidesOf(measure, runsA, runsB, isIdle);
  if (sides === undefined) return undefined;
  const known = knownScatter(measure, key, settings.record, sides, question.assumptions);
  if (movesWithFans(measure) && (fansSetApart(runsA) || fansSetApart(runsB)))
    return unjudged(measure, runsA[0]!, sides, known, question);
  const budget = budgetOf(measure, sides, known, question.assumptions);
  return judged(measure, runsA[0]!, sides, known, budget, question);
}

const movesWithFans = (measure: RunMeasure): boolean => measureTraits[measure].byMount || measure === "fan";

/** Where the fans were set apart on purpose the mean is of no one thing: shown, and neither judged nor to be repeated. */
function unjudged(
  measure: RunMeasure,
  setting: ComparedRun,
  sides: MeasuredSides,
  known: KnownScatter,
  question: SameSettingQuestion,
): SameSettingRow {
  const unknown = { ...known, scatter: null };
  const budget = budgetOf(measure, sides, unknown, question.assumptions);
  const row = judged(measure, setting, sides, unknown, budget, question);
  return { ...row, wouldDecide: null };
}

function judged(
  measure: RunMeasure,
  setting: ComparedRun,
  sides: MeasuredSides,
  known: KnownScatter,
  budget: readonly BudgetLine[],
  { assumptions, clockUnit = "MHz", offsetChip = null }: SameSettingQuestion,
): SameSettingRow {
  const unit = measure === "effectiveClock" ? clockUnit : measureTraits[measure].unit;
  const [a, b] = [sides.a, sides.b].map((side) => toMillionths(mean(repeatsOf(side, known.per))!)) as [
    number,
    number,
  ];
  const difference = toMillionths(b - a);
  const total = known.scatter === null ? undefined : budgetTotal(budget);
  const low = total === undefined ? null : toMillionths(difference - total.expanded);
  const high = total === undefined ? null : toMillionths(difference + total.expanded);
  const verdict = verdictOf(low, high);
  return {
    ...setOf(setting, offsetChip, clockUnit),
    workloadId: setting.workloadId,
    measure,
    unit,
    a,
    b,
    difference,
    low,
    high,
    runs: [sides.a.runs, sides.b.runs],
    mounts: [sides.a.mounts, sides.b.mounts],
    verdict,
    budget,
    smallerThan: smallerThan(measure, difference, verdict, assumptions),
    wouldDecide: whatWouldDecide(verdict, difference, sides, known, unit),
    notes: [...sides.notes, ...known.notes],
  };
}

/** What was set; the clock and the voltage that an offset came to are read anew by each run. */
function setOf(
  { clockMhz, voltageMv, offset = null, offsets = null, part = null, knobs = null }: ComparedRun,
  chip: SameSettingQuestion["offsetChip"],
  clockUnit: UnitOfClock,
) {
  const said = { offset, offsets, part };
  if (offset === null && offsets === null) return { clockMhz, voltageMv, ...said, knobs: null, set: null };
  const unread = { clockMhz: null, voltageMv: null };
  const told = asSetWords({ ...unread, ...said }, { clockUnit, offset: chip?.offset ?? null });
  return { ...unread, ...said, knobs, set: [told, ...elsewhereInWords(knobs, chip?.knobs ?? [])].join(", ") };
}

/** Those that stand elsewhere than usual. */
const elsewhereInWords = (values: KnobValues | null, knobs: readonly Knob[]): string[] =>
  Object.entries(values ?? {}).flatMap(([id, value]) => {
    const { name = id, unit = "", usual = null } = knobs.find((knob) => knob.id === id) ?? {};
    return value === usual ? [] : `${withinSentence(name)} ${knobValueWords(value)} ${unit}`.trim();
  });

/** "4600 MHz, 1.200 V", or the offset that was set. */
export const rowSetWords = (
  { set, clockMhz, voltageMv }: Pick<SameSettingRow, "set" | "clockMhz" | "voltageMv">,
  unit: UnitOfClock,
  joined = ", ",
): string => set ?? [clockWords(clockMhz ?? 0, unit), volts(voltageMv ?? 0)].join(joined);

function smallerThan(
  measure: RunMeasure,
  difference: number,
  verdict: Verdict,
  { worthHaving, clockStepMhz }: Assumptions,
): SameSettingRow["smallerThan"] {
  if (verdict !== "differs") return null;
  const size = Math.abs(difference);
  if (measure === "effectiveClock" && size < clockStepMhz) return "clock-step";
  return size < (worthHaving[measure] ?? 0) ? "worth-having" : null;
}
