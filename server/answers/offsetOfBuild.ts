import type { TooLittle } from "../bench/limit/limitFit.ts";
import { benchCostsFrom } from "../bench/next/benchCosts.ts";
import { hardnessOf } from "../bench/order/partsOfRun.ts";
import type { OffsetAnswer } from "../bench/scale/offsetAnswer.ts";
import type { OffsetDifference, OffsetDifferenceQuestion } from "../bench/scale/offsetDifference.ts";
import { type OffsetNext, type OffsetProposal, offsetBeginning } from "../bench/scale/offsetNext.ts";
import type { OffsetSearch } from "../bench/scale/offsetSearch.ts";
import type { Use } from "../bench/things/aim.ts";
import type { Journal } from "../store/file/journal.ts";
import { type Mover, moversSince } from "./answerGrounds.ts";
import { type BuildAtHand, buildAsked } from "./buildAsked.ts";
import { frontierOfAsked } from "./frontierOfBuild.ts";
import { keptOffsets } from "./keptFit.ts";
import { type FitQuestion, latestAnswerTo } from "./limitOfBuild.ts";
import { type FirstRun, firstRunOf, isUntried } from "./proposal.ts";
import type { Reckonings } from "./reckoned.ts";
import { underFirmware } from "./underFirmware.ts";

export type BuildOffsetQuestion = Readonly<{
  buildId: string;
  workloadId?: string | null | undefined;
  part?: string | null | undefined;
  minutes?: number | null | undefined;
  use?: Use | undefined;
}>;

/** What to try next on a build whose chip is set by offset. */
export const offsetNextQuestion = (
  journal: Journal,
  asked: BuildOffsetQuestion,
): FitQuestion<OffsetNext, OffsetSearch> => ({
  kind: "offsetNext",
  key: JSON.stringify(asked),
  request: () => searchOf(journal, asked),
});

/** What to set on it. */
export const offsetBestQuestion = (
  journal: Journal,
  asked: BuildOffsetQuestion,
): FitQuestion<OffsetAnswer | TooLittle, OffsetSearch> => ({
  kind: "offsetBest",
  key: JSON.stringify(asked),
  request: () => searchOf(journal, asked),
});

/** How far apart two builds go along the same offset, each from its own attempts. */
export const offsetDifferenceQuestion = (
  journal: Journal,
  { a, b, workloadId }: Readonly<{ a: string; b: string; workloadId?: string | null | undefined }>,
): FitQuestion<OffsetDifference | null, OffsetDifferenceQuestion> => ({
  kind: "offsetDifference",
  key: JSON.stringify([a, b, workloadId ?? null]),
  request: () => ({
    a: searchOf(journal, { buildId: a, workloadId }),
    b: searchOf(journal, { buildId: b, workloadId }),
  }),
});

function searchOf(
  journal: Journal,
  { buildId, workloadId, part, minutes, use }: BuildOffsetQuestion,
): OffsetSearch {
  const asked = buildAsked(journal, { buildId, workloadId });
  const { build, chip, rule, workloads } = asked;
  const rows = journal.attempts.triedOf(buildId);
  return {
    chip,
    hottestAmbientC: build.hottestAmbientC,
    rows: underFirmware(journal, buildId, rows),
    workloads: [...workloads.values()],
    requires: rule.requires,
    use: use ?? build.use,
    workloadId: workloadId ?? null,
    part: part ?? null,
    minutes: minutes ?? null,
    costs: benchCostsFrom(rows),
    begin: beginningRun(journal, asked),
  };
}

/** Under what, and for how long, a build begins; null once something ran on it, or while no load is written down. */
function beginningRun(journal: Journal, asked: BuildAtHand): FirstRun | null {
  const run = isUntried(journal, asked) ? firstRunOf(asked) : null;
  return run && { ...run, workloadId: asked.workload?.id ?? run.workloadId };
}

/** What to set first on a build that nothing ran on yet, which takes no fit; null on any other. */
export function offsetBegun(
  journal: Journal,
  question: Readonly<{ buildId: string; workloadId: string | null }>,
): OffsetProposal | null {
  const asked = buildAsked(journal, question);
  const run = asked.chip.axis === "offset" ? beginningRun(journal, asked) : null;
  return run && offsetBeginning(asked.chip, run);
}

/** The last answer known, less what a failure recorded since speaks against. */
export function latestOffsetAnswer(
  journal: Journal,
  reckonings: Reckonings,
  asked: BuildAtHand,
): Readonly<{ answer: OffsetAnswer | null; fresh: boolean; changedBecause: readonly Mover[] }> {
  const { build } = asked;
  const aim = { use: build.use, goal: build.goal };
  const question = offsetBestQuestion(journal, { buildId: build.id });
  const latest = latestAnswerTo(reckonings, question);
  if (latest?.fresh === true) {
    if (!("parts" in latest.answer)) return { answer: null, fresh: true, changedBecause: [] };
    const { byOffset, changedBecause } = keptOffsets.keep(journal, build.id, aim, latest.answer, () =>
      question.request(reckonings),
    );
    return { answer: byOffset, fresh: true, changedBecause };
  }
  const kept = keptOffsets.find(journal, build.id, aim);
  if (kept === null) {
    const last =
      latest !== null && "parts" in latest.answer ? lessFailed(latest.answer, journal, asked) : null;
    return { answer: last, fresh: false, changedBecause: [] };
  }
  const answer = lessFailed(kept.byOffset, journal, asked);
  const isMoved = answer !== kept.byOffset;
  return {
    answer,
    fresh: false,
    changedBecause: isMoved ? moversSince(question.request(reckonings), kept.grounds) : kept.changedBecause,
  };
}

function lessFailed(answer: OffsetAnswer, journal: Journal, asked: BuildAtHand): OffsetAnswer {
  const harder = asked.chip.offset?.harder ?? "up";
  const rows = frontierOfAsked(journal, asked).byOffset?.rows ?? [];
  const failed = new Map(rows.map(({ part, easiestCrash }) => [part, easiestCrash]));
  const parts = answer.parts.map((one) => {
    const crash = failed.get(one.part) ?? null;
    const stands =
      one.setting === null ||
      crash === null ||
      hardnessOf(one.setting.level, harder) < hardnessOf(crash, harder);
    return stands ? one : { ...one, setting: null };
  });
  const isWhole = parts.every((one, i) => one === answer.parts[i]);
  return isWhole
    ? answer
    : {
        ...answer,
        parts,
        offsets: null,
        offset: null,
        provedTogether: answer.provedTogether === null ? null : false,
      };
}
