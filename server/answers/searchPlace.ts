import { loadedRows } from "../bench/limit/limitEvidence.ts";
import type { Journal } from "../store/file/journal.ts";
import { buildAsked } from "./buildAsked.ts";
import { answerTo, bestQuestion } from "./limitOfBuild.ts";
import type { Reckonings } from "./reckoned.ts";

/** Where a search for the highest clock goes on while nobody names a voltage. */
export type SearchPlace = Readonly<{
  /** The voltage tried last, unless nothing there can be the answer; null where there is none. */
  hereMv: number | null;
  /** The voltage of the build's answer, as it was proved; null where there is none. */
  answerMv: number | null;
}>;

export async function searchPlaceOf(
  journal: Journal,
  reckonings: Reckonings,
  buildId: string,
): Promise<SearchPlace> {
  const { build, chip, workloads } = buildAsked(journal, { buildId });
  const lastMv =
    loadedRows(journal.attempts.evidenceOf(buildId), [...workloads.values()]).at(-1)?.voltageMv ?? null;
  const { setting, atVoltages } = await answerTo(
    reckonings,
    bestQuestion(journal, { buildId, goal: build.goal, use: build.use }),
  );
  if (setting === null) return { hereMv: lastMv, answerMv: null };
  const answerMv = setting.guarded ? setting.voltageMv - chip.voltageStepMv : setting.voltageMv;
  const isRuledOut = atVoltages.some(
    ({ voltageMv, objection }) => voltageMv === lastMv && objection !== null,
  );
  return { hereMv: isRuledOut ? answerMv : lastMv, answerMv };
}
