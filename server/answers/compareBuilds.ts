import { type Assumptions, usualAssumptions } from "../bench/comparison/assumptions.ts";
import type { ClockApart } from "../bench/comparison/clockApart.ts";
import { type Comparison, comparisonOf } from "../bench/comparison/comparison.ts";
import { withoutFanSweeps } from "../bench/comparison/fanSweep.ts";
import type { FittedOffsetsApart, OffsetsQuestion } from "../bench/comparison/offsetsApart.ts";
import { loadVoltagesOf } from "../bench/comparison/sameLoadVoltage.ts";
import type { NoiseReading } from "../bench/noise/noiseReading.ts";
import type { ComparedBuild } from "../bench/runs/comparedRun.ts";
import { invalid } from "../bench/things/refusal.ts";
import { isSetByClock } from "../bench/things/setting.ts";
import { speaksOf, type Workload } from "../bench/things/workload.ts";
import type { Journal } from "../store/file/journal.ts";
import { type BuildAtHand, buildAsked } from "./buildAsked.ts";
import { frontierOfAsked } from "./frontierOfBuild.ts";
import { knobsOfBoth, withKnobsSaid } from "./knobsSaid.ts";
import { wellTried } from "./mostTried.ts";

export type CompareQuestion = Readonly<{
  a: string;
  b: string;
  ruleId?: string | undefined;
  workloadId?: string | undefined;
  /** Clocks at the same voltage set, or at the same voltage under load. */
  by?: "set" | "load" | undefined;
}>;

/** How far apart the limits of the two builds are; null where nothing is fitted. */
export type FittedApart = Readonly<{
  apart?: ClockApart | null;
  offsetsApart?: FittedOffsetsApart | null | undefined;
}>;

/** Two builds on every measure; every difference is b minus a. */
export function compareBuilds(
  journal: Journal,
  question: CompareQuestion,
  { apart = null, offsetsApart = null }: FittedApart = {},
  stated: Partial<Assumptions> = {},
): Comparison {
  if (question.a === question.b)
    throw invalid("Choose two different builds.", { b: "Choose another build than the first." });
  const [a, b] = [question.a, question.b].map((buildId) =>
    buildAsked(journal, { buildId, ruleId: question.ruleId, workloadId: question.workloadId }),
  ) as [BuildAtHand, BuildAtHand];
  const [runsA, runsB] = [comparedBuild(journal, a, b), comparedBuild(journal, b, a)];
  return comparisonOf({
    a: runsA,
    b: runsB,
    others: otherBuilds(journal, a, b),
    idleWorkloadIds: new Set(idleIn(a.workloads)),
    assumptions: { ...assumptionsOf(a, b), ...stated },
    clocks: {
      a: frontierOfAsked(journal, a).points,
      b: frontierOfAsked(journal, b).points,
      apart,
    },
    loadVoltages: question.by === "load" ? [loadedVoltages(runsA, a), loadedVoltages(runsB, b)] : null,
    clockUnit: a.chip.clockUnit === b.chip.clockUnit ? a.chip.clockUnit : "MHz",
    offsets: offsetsOf(journal, a, b, offsetsApart),
    offsetChip: areSetAlike(a, b) ? a.chip : null,
    noise: [readingsOf(journal, a.build.id), readingsOf(journal, b.build.id)],
  });
}

/** Whether both chips are set by the same kind of offset. */
const areSetAlike = ({ chip: a }: BuildAtHand, { chip: b }: BuildAtHand): boolean =>
  a.axis === "offset" &&
  b.axis === "offset" &&
  a.offset?.unit === b.offset?.unit &&
  a.offset?.harder === b.offset?.harder;

/** Null unless both chips are set by the same kind of offset. */
function offsetsOf(
  journal: Journal,
  a: BuildAtHand,
  b: BuildAtHand,
  apart: FittedOffsetsApart | null,
): OffsetsQuestion | null {
  const [axis, other] = [a.chip.offset, b.chip.offset];
  if (axis === null || other === null || !areSetAlike(a, b)) return null;
  const rowsOf = (asked: BuildAtHand) => frontierOfAsked(journal, asked).byOffset?.rows ?? [];
  const { name, unit, harder } = axis;
  const step = Math.max(axis.step, other.step);
  return { axis: { name, unit, harder, step }, a: rowsOf(a), b: rowsOf(b), apart };
}

/** The clocks of two builds judged by the rule that is asked; temperatures by every run that counts. */
function comparedBuild(
  journal: Journal,
  { build, chip, workload, workloads }: BuildAtHand,
  beside: BuildAtHand,
): ComparedBuild {
  const knobs = knobsOfBoth(chip, beside.chip);
  const all = withKnobsSaid(journal.attempts.taggedRunsOf(build.id), knobs);
  const runs =
    workload === null ? all : all.filter((run) => isAsked(workloads.get(run.workloadId), workload));
  return { id: build.id, name: build.name, chipId: build.chipId, runs };
}

/** Idle runs are kept beside whatever load is asked, for the idle temperatures. */
const isAsked = (ran: Workload | undefined, asked: Workload): boolean =>
  ran !== undefined && (ran.kind === "idle" || speaksOf(ran, asked));

const idleIn = (workloads: ReadonlyMap<string, Workload>): string[] =>
  [...workloads.values()].filter((workload) => workload.kind === "idle").map((workload) => workload.id);

/** Other builds of the chips compared, asked only for the scatter between their mounts and runs. */
function otherBuilds(journal: Journal, a: BuildAtHand, b: BuildAtHand): ComparedBuild[] {
  const chips = new Map([
    [a.chip.id, knobsOfBoth(a.chip, b.chip)],
    [b.chip.id, knobsOfBoth(b.chip, a.chip)],
  ]);
  return [...chips].flatMap(([chipId, knobs]) =>
    wellTried(journal, chipId)
      .filter((build) => build.id !== a.build.id && build.id !== b.build.id)
      .map((build) => ({
        id: build.id,
        name: build.name,
        chipId: build.chipId,
        runs: withKnobsSaid(journal.attempts.taggedRunsOf(build.id), knobs),
      })),
  );
}

const assumptionsOf = (a: BuildAtHand, b: BuildAtHand): Assumptions => ({
  ...usualAssumptions,
  sensorAccuracyC: [a.chip.sensorAccuracyC, b.chip.sensorAccuracyC],
  sameSensor: a.chip.id === b.chip.id,
  sameSupplySensor: a.build.boardId === b.build.boardId,
  clockStepMhz: Math.max(a.chip.clockStepMhz, b.chip.clockStepMhz),
});

const loadedVoltages = (compared: ComparedBuild, { workloads }: BuildAtHand) =>
  loadVoltagesOf(
    compared.runs.filter(isSetByClock).filter((run) => workloads.get(run.workloadId)?.kind !== "idle"),
  );

const readingsOf = (journal: Journal, buildId: string): readonly NoiseReading[] => {
  const { items } = journal.noise.pageOf(buildId, { limit: 500, after: null });
  return items.length < 2 ? items : withoutFanSweeps(items, journal.attempts.runsOf(buildId));
};
