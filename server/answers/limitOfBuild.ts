import type { BestAnswer, BestQuestion } from "../bench/best/bestSetting.ts";
import type { FitKind } from "../bench/best/limitQuestions.ts";
import { scoredRunsOf } from "../bench/best/workRate.ts";
import type { LimitAnswer, LimitQuestion } from "../bench/limit/limitCurve.ts";
import { teachingBuilds } from "../bench/limit/limitEvidence.ts";
import type { LimitContext } from "../bench/limit/limitFit.ts";
import { baseSharpness } from "../bench/limit/sharpness.ts";
import { benchCostsFrom } from "../bench/next/benchCosts.ts";
import type { Beginning } from "../bench/next/nextAnswer.ts";
import type { NextAnswer, NextQuestion, Setting } from "../bench/next/nextAttempt.ts";
import type { Goal, Use } from "../bench/things/aim.ts";
import type { Chip } from "../bench/things/chip.ts";
import type { TriedRow } from "../bench/things/evidenceRow.ts";
import { rowsMemory } from "../bench/things/rowsMemory.ts";
import type { Workload } from "../bench/things/workload.ts";
import type { Journal } from "../store/file/journal.ts";
import { evidenceAndKnobs, evidenceAsSetNow, placedAsSetNow } from "./asSetNow.ts";
import { type BuildAtHand, type BuildQuestion, buildAsked } from "./buildAsked.ts";
import { frontierOfAsked } from "./frontierOfBuild.ts";
import { mostTried } from "./mostTried.ts";
import { isUntried, proposalFor } from "./proposal.ts";
import type { Latest, Reckonings } from "./reckoned.ts";
import { sharpnessFor } from "./sharpnessOfJournal.ts";

export type BuildFitQuestion = BuildQuestion &
  Readonly<{
    /** Whether other builds of the same chip are counted as a start; they are unless said otherwise. */
    pooled?: boolean | undefined;
    /** Whether what other chips of the journal showed of their sharpness is believed; it is unless said otherwise. */
    learnt?: boolean | undefined;
  }>;

/** A question to the fit, worded once: the kind, what tells it from others, and the whole request. */
export type FitQuestion<Answer, Question = unknown> = Readonly<{
  kind: Exclude<FitKind, "sharpness">;
  key: string;
  request: (reckonings: Reckonings) => Question;
  /** Never there: it only tells the compiler what comes back. */
  answer?: Answer;
}>;

export const limitQuestion = (
  journal: Journal,
  asked: BuildFitQuestion & Readonly<{ targetMhz?: number | undefined }>,
): FitQuestion<LimitAnswer> => {
  const build = buildAsked(journal, asked);
  return {
    kind: "limit",
    key: JSON.stringify(asked),
    request: (reckonings): LimitQuestion => ({
      ...contextOf(journal, build, asked, reckonings),
      workloadId: asked.workloadId ?? null,
      targetMhz: asked.targetMhz ?? null,
      isTried: journal.attempts.triedOf(build.build.id).length > 0,
    }),
  };
};

export type BuildNextQuestion = BuildFitQuestion &
  Readonly<{
    voltageMv?: number | undefined;
    clockMhz?: number | undefined;
    voltagesMv?: readonly number[] | undefined;
    minutes?: number | undefined;
    passedOver?: readonly Setting[] | undefined;
    use?: Use | undefined;
    again?: string | undefined;
  }>;

export const nextQuestion = (journal: Journal, asked: BuildNextQuestion): FitQuestion<NextAnswer> => {
  const build = buildAsked(journal, asked);
  return {
    kind: "next",
    key: JSON.stringify(asked),
    request: (reckonings): NextQuestion => {
      const context = contextOf(journal, build, asked, reckonings);
      return {
        ...context,
        voltageMv: asked.voltageMv ?? null,
        clockMhz: asked.clockMhz ?? null,
        voltagesMv: asked.voltagesMv ?? null,
        minutes: asked.minutes ?? null,
        workloadId: asked.workloadId ?? null,
        passedOver: asked.passedOver ?? [],
        use: asked.use ?? build.build.use,
        again: asked.again ?? null,
        begin: beginningOf(journal, build, asked),
        costs: benchCostsFrom(context.rows),
      };
    },
  };
};

/** The plain rule's first step, where nothing was run under load yet. */
function beginningOf(
  journal: Journal,
  asked: BuildAtHand,
  { workloadId }: BuildNextQuestion,
): Beginning | null {
  const plain = isUntried(journal, asked) ? proposalFor(journal, asked.build.id) : null;
  return plain === null || "missing" in plain
    ? null
    : { ...plain, workloadId: workloadId ?? plain.workloadId };
}

export const bestQuestion = (
  journal: Journal,
  asked: BuildFitQuestion & Readonly<{ goal: Goal; use: Use }>,
): FitQuestion<BestAnswer, BestQuestion> => {
  const build = buildAsked(journal, asked);
  return {
    kind: "best",
    key: JSON.stringify(asked),
    request: (reckonings): BestQuestion => {
      const context = contextOf(journal, build, asked, reckonings);
      return {
        ...context,
        goal: asked.goal,
        use: asked.use,
        workloadId: asked.workloadId ?? null,
        costs: benchCostsFrom(context.rows),
        scores: asked.goal === "efficiency" ? scoredRunsOf(journal.attempts.runsOf(build.build.id)) : [],
        held: frontierOfAsked(journal, build).points.flatMap(({ voltageMv, heldMhz }) =>
          heldMhz === null ? [] : [{ voltageMv, clockMhz: heldMhz }],
        ),
      };
    },
  };
};

/** Waits for the answer on the journal as it is, until `enough` comes, after which nobody does any longer. */
export const answerTo = <Answer>(
  reckonings: Reckonings,
  question: FitQuestion<Answer>,
  enough?: Promise<unknown>,
): Promise<Answer> =>
  reckonings.now<Answer>(question.kind, question.key, () => question.request(reckonings), enough);

/** The last answer known, at once; a page shows it and swaps in the next. */
export const latestAnswerTo = <Answer>(
  reckonings: Reckonings,
  question: FitQuestion<Answer>,
): Latest<Answer> | null =>
  reckonings.latest<Answer>(question.kind, question.key, () => question.request(reckonings));

function contextOf(
  journal: Journal,
  { build, chip, workloads }: BuildAtHand,
  { pooled, learnt, workloadId }: BuildFitQuestion,
  reckonings: Reckonings,
): LimitContext {
  const all = [...workloads.values()];
  const others = pooled === false ? [] : otherBuilds(journal, build.id, chip, all);
  const tried = [journal.attempts.triedOf(build.id), ...others.map(({ rows }) => rows)];
  return {
    chip,
    hottestAmbientC: build.hottestAmbientC,
    ...evidenceAndKnobs(journal, build.id, chip),
    ...placedAsSetNow(journal, build.id, chip),
    workloads: loadsThatSpeak(all, tried, workloadId ?? null),
    otherBuilds: others,
    sharpness: learnt === false ? baseSharpness : sharpnessFor(journal, reckonings, chip, build.id),
  };
}

/**
 * Those that were run, the one asked about, and those that switch, which may be proposed: any other moves no answer. All
 * where nothing was run that loads the chip.
 */
function loadsThatSpeak(
  all: readonly Workload[],
  tried: readonly (readonly TriedRow[])[],
  asked: string | null,
): readonly Workload[] {
  const met = new Set(tried.flatMap((rows) => [...loadsRun(rows)]));
  const speak = all.filter(({ id, kind }) => met.has(id) || id === asked || kind === "transition");
  return speak.some(({ id, kind }) => met.has(id) && kind !== "idle") ? speak : all;
}

const loads = rowsMemory<ReadonlySet<string>>();
const loadsRun = (rows: readonly TriedRow[]): ReadonlySet<string> =>
  loads(rows, null, () => new Set(rows.map(({ workloadId }) => workloadId)));

/** Enough of those with most attempts that the few from which the fit learns are among them. */
const mostLookedThrough = 6;

/** What the chip did on other boards, coolers and cases: the builds from which the fit learns. */
const otherBuilds = (journal: Journal, buildId: string, chip: Chip, workloads: readonly Workload[]) => {
  const others = mostTried(journal, chip.id)
    .filter(({ id }) => id !== buildId)
    .slice(0, mostLookedThrough)
    .map(({ id, name }) => ({
      name,
      rows: evidenceAsSetNow(journal, id, chip),
      ...placedAsSetNow(journal, id, chip),
    }));
  return teachingBuilds(others, workloads);
};
