import { startInWords } from "../bench/limit/limitFit.ts";
import { usualBenchCosts } from "../bench/next/benchCosts.ts";
import type {
  Proposal as Fitted,
  LeaveRunning,
  NextAnswer,
  PlannedAttempt,
  Setting,
  Settled,
} from "../bench/next/nextAttempt.ts";
import { Refusal } from "../bench/things/refusal.ts";
import type { Journal } from "../store/file/journal.ts";
import { buildAsked } from "./buildAsked.ts";
import { sameAgain } from "./contested.ts";
import { answerTo, bestQuestion, type NextAsked, nextQuestion } from "./limitOfBuild.ts";
import {
  clearOfFailures,
  lowerProposalFor,
  type NoProposal,
  type Proposal,
  proposalFor,
} from "./proposal.ts";
import type { Reckonings } from "./reckoned.ts";

/** What the tester is after: the highest clock at a voltage, the lowest voltage for a clock, the whole curve, or a plain walk up. */
export const aims = ["clock", "voltage", "map", "steps"] as const;
export type Aim = (typeof aims)[number];

export type AdviceAsked = Readonly<{
  buildId: string;
  aim: Aim;
  /** Where to look; the last setting tried where nothing is said. */
  voltageMv: number | null;
  clockMhz: number | null;
  /** Bench time there is. */
  minutes: number | null;
  passedOver: readonly Setting[];
  pooled: boolean;
  /** A failed attempt to run once more as it was: was it the clock? */
  again: string | null;
  /** The voltages to map; those already tried where none are named. */
  voltagesMv: readonly number[];
  /** The load to look at; the heaviest where none is named. */
  workloadId: string | null;
  /** When the bench time ends; null where nobody said. */
  until: string | null;
}>;

/** What to try next, and how it came about. */
export type Advice = Readonly<{
  proposal: Proposal | NoProposal;
  from: "fit" | "plain";
  /** What need not be tried any more, in a sentence. */
  settled: string | null;
  /** What would follow within the time there is. */
  plan: readonly PlannedAttempt[] | null;
  /** Cautions to hear first. */
  blocked: readonly string[];
  /** Other builds of the chip that taught the start. */
  taughtBy: readonly string[];
  /** Where what was looked for is found: a run of hours that would bring it nearer while nobody needs the machine. */
  leaveRunning: LeaveRunning | null;
}>;

type PlainAsked = Pick<AdviceAsked, "buildId" | "aim" | "clockMhz" | "again" | "workloadId">;

/** The plain rule's next step, for while no fit is there or can be. */
export const plainAdvice = (journal: Journal, asked: PlainAsked): Advice => ({
  proposal: plainProposal(journal, asked),
  from: "plain",
  settled: null,
  plan: null,
  blocked: [],
  taughtBy: [],
  leaveRunning: null,
});

/** A walk by plain steps follows the acceptance rule to the letter; all else keeps clear of what failed. */
function plainProposal(journal: Journal, asked: PlainAsked): Proposal | NoProposal {
  const { buildId, aim } = asked;
  const again = asked.again === null ? null : sameAgain(journal, asked.again);
  if (again !== null) return again;
  const heldMhz = clockToHold(asked);
  const lower = heldMhz === null ? null : lowerProposalFor(journal, buildId, heldMhz);
  const proposal = lower ?? proposalFor(journal, buildId);
  const underLoad =
    "missing" in proposal ? proposal : { ...proposal, workloadId: asked.workloadId ?? proposal.workloadId };
  return aim === "steps" ? underLoad : clearOfFailures(journal, buildId, underLoad);
}

/** The fit's advice; where the fit fails, the plain rule's step, and that it is only that. */
export async function fittedAdvice(
  journal: Journal,
  reckonings: Reckonings,
  asked: AdviceAsked,
): Promise<Advice> {
  const plain = plainAdvice(journal, asked);
  try {
    return await adviceOfFit(journal, reckonings, asked, plain);
  } catch (error) {
    if (error instanceof Refusal && error.code !== "internal") throw error;
    return { ...plain, blocked: [fitFailed] };
  }
}

const fitFailed =
  "The limit could not be fitted to this record just now, so this is the plain rule's next step. All that is recorded stands.";

/** The attempt that the fit says tells most per minute; where that is settled its proof, else what lies beside it. */
async function adviceOfFit(
  journal: Journal,
  reckonings: Reckonings,
  asked: AdviceAsked,
  plain: Advice,
): Promise<Advice> {
  if (asked.aim === "steps" || journal.attempts.countOf(asked.buildId) === 0) return plain;
  if ("missing" in plain.proposal && plain.proposal.missing === "workload") return plain;
  const ask = (wanted: Partial<NextAsked>): Promise<NextAnswer> =>
    answerTo(reckonings, nextQuestion(journal, { ...basicsOf(asked), ...wanted }));
  const answer = await ask(aimedAt(asked, plain.proposal));
  if ("state" in answer) return plain;
  if (!("settled" in answer)) return adviceFrom(answer, plain, null);
  return {
    ...(await besidesSettled(journal, reckonings, asked, answer, plain)),
    leaveRunning: answer.leaveRunning,
  };
}

/** What was looked for is found: its proof, else what lies beside it. */
async function besidesSettled(
  journal: Journal,
  reckonings: Reckonings,
  asked: AdviceAsked,
  answer: Settled,
  plain: Advice,
): Promise<Advice> {
  const proof = isOpen(asked, answer.proof) ? answer.proof : null;
  if (proof !== null && fitsInto(asked.minutes, proof)) return adviceFrom(proof, plain, answer.because);
  const map = await answerTo(reckonings, nextQuestion(journal, basicsOf(asked)));
  if (!("settled" in map || "state" in map))
    return adviceFrom(map, plain, answer.because.replace(startInWords(answer.taughtBy), ""));
  return toldOfTime(
    proof !== null
      ? adviceFrom(proof, plain, answer.because)
      : await provingBest(journal, reckonings, asked, answer, plain),
    asked.minutes,
  );
}

const isOpen = (asked: AdviceAsked, run: Fitted | null): boolean => run !== null && !isPassedOver(asked, run);

const isPassedOver = ({ passedOver }: AdviceAsked, { clockMhz, voltageMv }: Setting): boolean =>
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

/** The clock to hold with less voltage, where that is what is looked for. */
export const clockToHold = ({ aim, clockMhz }: Pick<AdviceAsked, "aim" | "clockMhz">): number | null =>
  aim === "voltage" ? clockMhz : null;

const basicsOf = ({ buildId, minutes, passedOver, pooled, again, workloadId }: AdviceAsked): NextAsked => ({
  buildId,
  minutes: minutes ?? undefined,
  passedOver,
  pooled,
  ...(again !== null && { again }),
  ...(workloadId !== null && { workloadId }),
});

function aimedAt(asked: AdviceAsked, plain: Proposal | NoProposal): Partial<NextAsked> {
  const at = "missing" in plain ? null : plain;
  if (asked.aim === "map") return asked.voltagesMv.length > 0 ? { voltagesMv: asked.voltagesMv } : {};
  if (asked.aim === "voltage") return { clockMhz: asked.clockMhz ?? at?.clockMhz };
  return { voltageMv: asked.voltageMv ?? at?.voltageMv };
}

const proofS = 3600;

/** All that was tried is settled, or too hot to go on with: an hour on the setting to run, where none is on record. */
async function provingBest(
  journal: Journal,
  reckonings: Reckonings,
  asked: AdviceAsked,
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

function adviceFrom(fitted: Fitted, plain: Advice, settled: string | null): Advice {
  const workloadId = fitted.workloadId ?? ("missing" in plain.proposal ? null : plain.proposal.workloadId);
  if (workloadId === null) return plain;
  const { clockMhz, voltageMv, durationS, purpose, because, chanceOfPass, expectedMinutes } = fitted;
  return {
    proposal: { clockMhz, voltageMv, workloadId, durationS, purpose, because, chanceOfPass, expectedMinutes },
    from: "fit",
    settled,
    plan: fitted.plan,
    blocked: fitted.blocked,
    taughtBy: fitted.taughtBy,
    leaveRunning: null,
  };
}
