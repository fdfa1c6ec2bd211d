import { loadVoltagesOf } from "../bench/comparison/sameLoadVoltage.ts";
import type { ClockDifference, ComparedRecord, DifferenceQuestion } from "../bench/limit/clockDifference.ts";
import type { LimitAnswer } from "../bench/limit/limitCurve.ts";
import type { OffsetDifference } from "../bench/scale/offsetDifference.ts";
import type { EvidenceRow } from "../bench/things/evidenceRow.ts";
import type { Journal } from "../store/file/journal.ts";
import { placedAsSetNow } from "./asSetNow.ts";
import { type BuildAtHand, buildAsked } from "./buildAsked.ts";
import type { CompareQuestion } from "./compareBuilds.ts";
import { answerTo, type FitQuestion, latestAnswerTo, limitQuestion } from "./limitOfBuild.ts";
import { offsetDifferenceQuestion } from "./offsetOfBuild.ts";
import type { Reckonings } from "./reckoned.ts";
import { sharpnessFor } from "./sharpnessOfJournal.ts";

/** How far apart the limits are, and each build's own limit where it is fitted. */
export type FittedLimits = Readonly<{
  apart: ClockDifference | null;
  /** Along the offset, where both chips are set by one. */
  offsetsApart?: OffsetDifference | null | undefined;
  a?: LimitAt | undefined;
  b?: LimitAt | undefined;
}>;

/** Each build's limit from its own attempts alone: a limit taught by the other build would hide a difference. */
const questionOf = (journal: Journal, { workloadId }: CompareQuestion, buildId: string) =>
  limitQuestion(journal, { buildId, workloadId, pooled: false });

/** How far apart the two limits are, both builds fitted together. */
function differenceQuestion(journal: Journal, asked: CompareQuestion): FitQuestion<ClockDifference | null> {
  const { workloadId = null, by = "set" } = asked;
  const [a, b] = [asked.a, asked.b].map((buildId) => buildAsked(journal, { buildId, workloadId })) as [
    BuildAtHand,
    BuildAtHand,
  ];
  return {
    kind: "difference",
    key: JSON.stringify([asked.a, asked.b, workloadId, by]),
    request: (reckonings): DifferenceQuestion => ({
      a: comparedRecord(journal, a, by),
      b: comparedRecord(journal, b, by),
      workloads: [...a.workloads.values()],
      workloadId,
      sharpness: sharpnessFor(journal, reckonings, a.chip, a.build.id),
    }),
  };
}

/**
 * At the voltages set, or at those that arrived under load: attempts at a voltage that was never read say nothing then, and
 * those on automatic voltage stand at their own reading, whatever the droop.
 */
function comparedRecord(
  journal: Journal,
  { build, chip, workloads }: BuildAtHand,
  by: "set" | "load",
): ComparedRecord {
  const rows = journal.attempts.evidenceOf(build.id);
  const { placed = [] } = placedAsSetNow(journal, build.id, chip);
  if (by === "set") return { chip, rows, placed };
  const loaded = loadVoltagesOf(
    journal.attempts.runsOf(build.id).filter((run) => workloads.get(run.workloadId)?.kind !== "idle"),
  );
  return {
    chip,
    rows: rows.flatMap((row) => rowAt(row, loaded.get(row.voltageMv))),
    placed: placed.flatMap((one) =>
      rowAt(one.row, one.row.loadVoltageMv).map((row) => ({ ...one, row, droopDeviationMv: 0 })),
    ),
  };
}

const rowAt = (row: EvidenceRow, voltageMv: number | null | undefined): EvidenceRow[] =>
  voltageMv == null ? [] : [{ ...row, voltageMv: Math.round(voltageMv * 1000) / 1000 }];

/** Whether both are set by offset, so that there are no clocks to compare. */
const areByOffset = (journal: Journal, { a, b }: CompareQuestion): boolean =>
  [a, b].every((buildId) => buildAsked(journal, { buildId }).chip.axis === "offset");

/** The fitted limits of two builds on the journal as it is; waits for them. */
export async function fittedLimits(
  journal: Journal,
  reckonings: Reckonings,
  question: CompareQuestion,
): Promise<FittedLimits> {
  if (areByOffset(journal, question))
    return {
      apart: null,
      offsetsApart: await answerTo(reckonings, offsetDifferenceQuestion(journal, question)),
    };
  const [apart, a, b] = await Promise.all([
    answerTo(reckonings, differenceQuestion(journal, question)),
    ...[question.a, question.b].map((id) => answerTo(reckonings, questionOf(journal, question, id))),
  ]);
  return { apart, a: a && limitAt(a), b: b && limitAt(b) };
}

/** The limits as last fitted, at once, and whether they are those of the journal as it is. */
export function latestLimits(
  journal: Journal,
  reckonings: Reckonings,
  question: CompareQuestion,
): Readonly<{ limits: FittedLimits; fresh: boolean }> {
  if (areByOffset(journal, question)) {
    const latest = latestAnswerTo(reckonings, offsetDifferenceQuestion(journal, question));
    const limits = { apart: null, offsetsApart: latest?.answer ?? null };
    return { limits, fresh: latest?.fresh === true };
  }
  const apart = latestAnswerTo(reckonings, differenceQuestion(journal, question));
  const [a, b] = [question.a, question.b].map((id) =>
    latestAnswerTo(reckonings, questionOf(journal, question, id)),
  );
  return {
    limits: {
      apart: apart?.answer ?? null,
      a: a ? limitAt(a.answer) : undefined,
      b: b ? limitAt(b.answer) : undefined,
    },
    fresh: apart?.fresh === true && a?.fresh === true && b?.fresh === true,
  };
}

/** A fitted limit at one voltage with its 95 % interval. */
export type LimitAt = (voltageMv: number) => Readonly<{ lowMhz: number; highMhz: number }> | undefined;

/** A 90 % band widened to 95 %, as the ends of a normal one would be. */
const toNinetyFive = 1.96 / 1.645;

/** A fitted curve asked at any voltage within it, between its points along straight lines. */
export function limitAt(limit: LimitAnswer, widened = toNinetyFive): LimitAt | undefined {
  if (limit.state !== "fitted" || limit.atLeast) return undefined;
  const { curve } = limit;
  return (voltageMv) => {
    const above = curve.findIndex((point) => point.voltageMv >= voltageMv);
    const [lower, upper] = [curve[Math.max(0, above - 1)], curve[above]];
    if (above < 0 || !lower || !upper || voltageMv < lower.voltageMv - 1e-9) return undefined;
    const span = upper.voltageMv - lower.voltageMv;
    const share = span === 0 ? 1 : (voltageMv - lower.voltageMv) / span;
    const between = (a: number | null, b: number | null): number => (a ?? 0) + share * ((b ?? 0) - (a ?? 0));
    const clockMhz = between(lower.limitMhz, upper.limitMhz);
    return {
      lowMhz: clockMhz - widened * (clockMhz - between(lower.lowMhz, upper.lowMhz)),
      highMhz: clockMhz + widened * (between(lower.highMhz, upper.highMhz) - clockMhz),
    };
  };
}
