import { startInWords } from "../bench/limit/limitFit.ts";
import { usualBenchCosts } from "../bench/next/benchCosts.ts";
import type { Proposal, Setting, Settled } from "../bench/next/nextAttempt.ts";
import type { Journal } from "../store/file/journal.ts";
import { type Advice, type AdviceQuestion, adviceFrom, basicsOf } from "./advice.ts";
import { buildAsked } from "./buildAsked.ts";
import { answerTo, bestQuestion, nextQuestion } from "./limitOfBuild.ts";
import type { Reckonings } from "./reckoned.ts";

/** What was looked for is found: its proof, else what lies beside it. */
export async function besidesSettled(
  journal: Journal,
  reckonings: Reckonings,
  asked: AdviceQuestion,
  answer: Settled,
  plain: Advice,
): Promise<Advice> {
  const proof = isOpen(asked, answer.proof) ? answer.proof : null;
  if (proof !== null && fitsInto(asked.minutes, proof)) return adviceFrom(proof, plain, answer.because);
  const map = await answerTo(reckonings, nextQuestion(journal, basicsOf(asked)));
  if (!("settled" in map || "state" in map)) {
    const beside = adviceFrom(map, plain, answer.because.replace(startInWords(answer.taughtBy), ""));
    return { ...beside, blocked: [...new Set([...answer.blocked, ...beside.blocked])] };
  }
  return toldOfTime(
    proof !== null
      ? adviceFrom(proof, plain, answer.because)
      : await provingBest(journal, reckonings, asked, answer, plain),
    asked.minutes,
  );
}

const isOpen = (asked: AdviceQuestion, run: Proposal | null): boolean =>
  run !== null && !isPassedOver(asked, run);

const isPassedOver = ({ passedOver }: AdviceQuestion, { clockMhz, voltageMv }: Setting): boolean =>
  passedOver.some((other) => other.clockMhz === clockMhz && other.voltageMv === voltageMv);

const fitsInto = (minutes: number | null, { durationS }: Readonly<{ durationS: number }>): boolean =>
  minutes === null || durationS / 60 + usualBenchCosts.setupMinutes <= minutes;

/** Nothing shorter is worth proposing: then at least that it takes longer than there is time. */
const toldOfTime = (advice: Advice, minutes: number | null): Advice =>
  "missing" in advice.proposal || fitsInto(minutes, advice.proposal)
    ? advice
    : {
        ...advice,
        blocked: [
          ...advice.blocked,
          `That takes longer than the ${Math.round(minutes ?? 0)} minutes there are; nothing shorter would tell enough.`,
        ],
      };

const proofS = 3600;

const withLess = (run: Proposal): Proposal => ({
  ...run,
  because: `Less voltage may do the same. ${run.because}`,
});

/** All that was tried is settled, or too hot to go on with: an hour on the setting to run, where none is on record. */
async function provingBest(
  journal: Journal,
  reckonings: Reckonings,
  asked: AdviceQuestion,
  settled: Settled,
  plain: Advice,
): Promise<Advice> {
  const { buildId } = asked;
  const best = await answerTo(
    reckonings,
    bestQuestion(journal, { buildId, goal: "clock", use: buildAsked(journal, { buildId }).build.use }),
  );
  const { setting } = best;
  const told = { ...plain, settled: settled.because, taughtBy: settled.taughtBy };
  if (setting === null || setting.workloadId === null || isPassedOver(asked, setting)) return told;
  const { clockMhz, voltageMv, workloadId } = setting;
  const proved = journal.attempts
    .evidenceOf(buildId)
    .some(
      (row) =>
        row.outcome === "pass" &&
        row.clockMhz === clockMhz &&
        row.voltageMv === voltageMv &&
        row.durationS >= proofS,
    );
  if (proved) {
    // A map goes on where more is to be found; a search for the clock with how little voltage does the same.
    const open = asked.aim === "map" ? { voltageMv } : { clockMhz };
    const more = await answerTo(reckonings, nextQuestion(journal, { ...basicsOf(asked), ...open }));
    if ("durationS" in more && isOpen(asked, more))
      return adviceFrom(asked.aim === "map" ? more : withLess(more), plain, settled.because);
  }
  const because = proved
    ? "An hour on it is on record; another one adds little, and another voltage or build may tell more."
    : "An hour on it says whether to rely on it.";
  return {
    ...told,
    from: "fit",
    proposal: {
      clockMhz,
      voltageMv,
      workloadId,
      durationS: proofS,
      purpose: "prove",
      because: `${best.because[0] ?? ""} ${because}`,
      chanceOfPass: null,
      expectedMinutes: null,
    },
  };
}
