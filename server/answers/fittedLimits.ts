import type { LimitAt } from "../bench/comparison/sameVoltage.ts";
import type { LimitAnswer } from "../bench/limit/limitCurve.ts";
import type { Journal } from "../store/file/journal.ts";
import type { CompareQuestion, FittedLimits } from "./compareBuilds.ts";
import { answerTo, latestAnswerTo, limitQuestion } from "./limitOfBuild.ts";
import type { Reckonings } from "./reckoned.ts";

/** Each build's limit from its own attempts alone: a limit taught by the other build would hide a difference. */
const questionOf = (journal: Journal, { workloadId }: CompareQuestion, buildId: string) =>
  limitQuestion(journal, { buildId, workloadId, pooled: false });

/** The fitted limits of two builds on the journal as it is; waits for them. */
export async function fittedLimits(
  journal: Journal,
  reckonings: Reckonings,
  question: CompareQuestion,
): Promise<FittedLimits> {
  const [a, b] = await Promise.all(
    [question.a, question.b].map((id) => answerTo(reckonings, questionOf(journal, question, id))),
  );
  return { a: a && limitAt(a), b: b && limitAt(b) };
}

/** The limits as last fitted, at once, and whether they are those of the journal as it is. */
export function latestLimits(
  journal: Journal,
  reckonings: Reckonings,
  question: CompareQuestion,
): Readonly<{ limits: FittedLimits; fresh: boolean }> {
  const [a, b] = [question.a, question.b].map((id) =>
    latestAnswerTo(reckonings, questionOf(journal, question, id)),
  );
  return {
    limits: { a: a ? limitAt(a.answer) : undefined, b: b ? limitAt(b.answer) : undefined },
    fresh: a?.fresh === true && b?.fresh === true,
  };
}

/** A 90 % band widened to 95 %, as the ends of a normal one would be. */
const toNinetyFive = 1.96 / 1.645;

/** A fitted curve asked at any voltage within it, between its points along straight lines. */
export function limitAt(limit: LimitAnswer): LimitAt | undefined {
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
      clockMhz,
      lowMhz: clockMhz - toNinetyFive * (clockMhz - between(lower.lowMhz, upper.lowMhz)),
      highMhz: clockMhz + toNinetyFive * (between(lower.highMhz, upper.highMhz) - clockMhz),
    };
  };
}
