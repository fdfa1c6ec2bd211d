import type { NextAnswer } from "../bench/next/nextAttempt.ts";
import { Refusal } from "../bench/things/refusal.ts";
import type { Journal } from "../store/file/journal.ts";
import { type Advice, type AdviceQuestion, adviceFrom, basicsOf } from "./advice.ts";
import { adviceByKnob, adviceByOffset, knobIn } from "./adviceAlong.ts";
import { besidesSettled } from "./adviceOnceSettled.ts";
import { buildAsked } from "./buildAsked.ts";
import { carriedLoad } from "./carriedLoad.ts";
import { answerTo, type BuildNextQuestion, nextQuestion } from "./limitOfBuild.ts";
import { plainBenchAdvice } from "./plainAdvice.ts";
import { isUntried, type NoProposal, type ProposalTold } from "./proposal.ts";
import type { Reckonings } from "./reckoned.ts";
import { type SearchPlace, searchPlaceOf } from "./searchPlace.ts";

/** The fit's advice; where the fit fails, the plain rule's step, and that it is only that. */
export async function fittedAdvice(
  journal: Journal,
  reckonings: Reckonings,
  asked: AdviceQuestion,
): Promise<Advice> {
  const plain = plainBenchAdvice(journal, asked);
  try {
    return await adviceOfFit(journal, reckonings, underLoadRunLast(journal, asked), plain);
  } catch (error) {
    if (error instanceof Refusal && error.code !== "internal") throw error;
    return { ...plain, blocked: [fitFailed] };
  }
}

/** A load once chosen stays until another is; a low voltage has its own, and a knob that of all else. */
const underLoadRunLast = (journal: Journal, asked: AdviceQuestion): AdviceQuestion =>
  asked.workloadId !== null || asked.aim === "voltage" || asked.aim === "knob"
    ? asked
    : { ...asked, workloadId: carriedLoad(journal, asked.buildId) };

const fitFailed =
  "The limit could not be fitted to this record just now, so this is the plain rule's next step. All that is recorded stands.";

/** The attempt that the fit says tells most per minute; where that is settled its proof, else what lies beside it. */
async function adviceOfFit(
  journal: Journal,
  reckonings: Reckonings,
  asked: AdviceQuestion,
  plain: Advice,
): Promise<Advice> {
  const at = buildAsked(journal, { buildId: asked.buildId });
  const { chip } = at;
  const knob = asked.aim === "knob" ? knobIn(chip, asked.knob) : null;
  if (knob !== null) return adviceByKnob(journal, reckonings, asked, { knob, plain });
  if (chip.axis === "offset") return adviceByOffset(journal, reckonings, asked, plain);
  if (asked.aim === "steps" || isUntried(journal, at)) return plain;
  if ("missing" in plain.proposal && plain.proposal.missing === "workload") return plain;
  const ask = (wanted: Partial<BuildNextQuestion>): Promise<NextAnswer> =>
    answerTo(reckonings, nextQuestion(journal, { ...basicsOf(asked), ...wanted }));
  const isFree = asked.aim === "clock" && asked.voltageMv === null;
  const place = isFree ? await searchPlaceOf(journal, reckonings, asked.buildId) : null;
  const answer = await ask(aimedAt(asked, plain.proposal, place));
  if ("state" in answer) return plain;
  if (!("settled" in answer)) return adviceFrom(answer, plain, null);
  const answerMv = place?.answerMv ?? null;
  const there = answerMv === null || answerMv === place?.hereMv ? null : await ask({ voltageMv: answerMv });
  if (there !== null && "durationS" in there) return adviceFrom(there, plain, answer.because);
  const found = there !== null && "settled" in there ? there : answer;
  return {
    ...(await besidesSettled(journal, reckonings, asked, found, plain)),
    leaveRunning: found.leaveRunning,
  };
}

function aimedAt(
  asked: AdviceQuestion,
  plain: ProposalTold | NoProposal,
  place: SearchPlace | null,
): Partial<BuildNextQuestion> {
  const at = "missing" in plain ? null : plain;
  if (asked.aim === "map") return asked.voltagesMv.length > 0 ? { voltagesMv: asked.voltagesMv } : {};
  if (asked.aim === "voltage") return { clockMhz: asked.clockMhz ?? at?.clockMhz };
  return { voltageMv: asked.voltageMv ?? place?.hereMv ?? at?.voltageMv };
}
