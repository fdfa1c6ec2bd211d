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
import { isSearched, type KnobNext, type SearchedKnob } from "../bench/scale/knobSearch.ts";
import type { OffsetNext } from "../bench/scale/offsetNext.ts";
import type { Chip } from "../bench/things/chip.ts";
import { Refusal } from "../bench/things/refusal.ts";
import type { Journal } from "../store/file/journal.ts";
import { buildAsked } from "./buildAsked.ts";
import { carriedLoad } from "./carriedLoad.ts";
import { sameAgain } from "./contested.ts";
import { knobNextQuestion } from "./knobOfBuild.ts";
import { answerTo, type BuildNextQuestion, bestQuestion, nextQuestion } from "./limitOfBuild.ts";
import { offsetBegun, offsetNextQuestion } from "./offsetOfBuild.ts";
import {
  clearOfBars,
  isUntried,
  lowerProposalFor,
  type NoProposal,
  type ProposalTold,
  proposalFor,
} from "./proposal.ts";
import type { Reckonings } from "./reckoned.ts";
import { type SearchPlace, searchPlaceOf } from "./searchPlace.ts";

/** What the tester is after: the highest clock at a voltage, the lowest voltage for a clock, the whole curve, a plain walk up, or how far one knob goes. */
export const aims = ["clock", "voltage", "map", "steps", "knob"] as const;
export type Aim = (typeof aims)[number];

export type AdviceQuestion = Readonly<{
  buildId: string;
  aim: Aim;
  /** Where to look; the voltage tried last where nothing is said. */
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
  /** The knob to look along, all else as the latest attempt had it; null for none. */
  knob: string | null;
}>;

/** What to try next, and how it came about. */
export type Advice = Readonly<{
  proposal: ProposalTold | NoProposal;
  from: "fit" | "plain";
  /** What need not be tried any more, in a sentence. */
  settled: string | null;
  /** What would follow within the time there is. */
  plan: readonly PlannedAttempt[] | null;
  /** Whether the search would be over then. */
  planEndsSearch: boolean;
  /** Cautions to hear first. */
  blocked: readonly string[];
  /** Other builds of the chip that taught the start. */
  taughtBy: readonly string[];
  /** On a chip that is set by offset: what to set next, or that all is known. */
  byOffset: OffsetNext | null;
  /** Where one knob is looked along: what to try next of it, and what holds of it so far. */
  byKnob: Readonly<{ knob: SearchedKnob; next: KnobNext }> | null;
  /** Where what was looked for is found: a run of hours that would bring it nearer while nobody needs the machine. */
  leaveRunning: LeaveRunning | null;
}>;

/** What there is to say without a fit: a step of the plain rule, or that none is proposed. */
const withoutFit = (proposal: Advice["proposal"]): Advice => ({
  proposal,
  from: "plain",
  settled: null,
  plan: null,
  planEndsSearch: false,
  blocked: [],
  taughtBy: [],
  byOffset: null,
  byKnob: null,
  leaveRunning: null,
});

/** A search that was over is not begun anew by the plain rule while the record is weighed. */
export const keptBenchAdvice: Advice = withoutFit({
  missing: "fit",
  because:
    "Until the whole record is weighed, the answer stands as it was kept, and no other step is proposed.",
});

type PlainQuestion = Pick<AdviceQuestion, "buildId" | "aim" | "clockMhz" | "again" | "workloadId">;

/** The plain rule's next step, for while no fit is there or can be. */
export const plainBenchAdvice = (journal: Journal, asked: PlainQuestion): Advice => ({
  ...withoutFit(plainProposal(journal, asked)),
  byOffset: offsetBegun(journal, asked),
});

/** A walk by plain steps follows the acceptance rule to the letter; all else keeps clear of what failed. */
function plainProposal(journal: Journal, asked: PlainQuestion): ProposalTold | NoProposal {
  const { buildId, aim } = asked;
  const again = asked.again === null ? null : sameAgain(journal, asked.again);
  if (again !== null) return again;
  const heldMhz = clockToHold(asked);
  const lower = heldMhz === null ? null : lowerProposalFor(journal, buildId, heldMhz);
  const proposal = lower ?? proposalFor(journal, buildId);
  const underLoad =
    "missing" in proposal ? proposal : { ...proposal, workloadId: asked.workloadId ?? proposal.workloadId };
  return aim === "steps" ? underLoad : clearOfBars(journal, buildId, underLoad);
}

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

async function adviceByOffset(
  journal: Journal,
  reckonings: Reckonings,
  { buildId, minutes, workloadId }: AdviceQuestion,
  plain: Advice,
): Promise<Advice> {
  if (plain.byOffset !== null) return plain;
  if ("missing" in plain.proposal && plain.proposal.missing === "workload") return plain;
  const next = await answerTo(reckonings, offsetNextQuestion(journal, { buildId, minutes, workloadId }));
  if ("state" in next) return plain;
  const settled = "settled" in next ? next.because : null;
  return { ...plain, from: "fit", byOffset: next, settled, blocked: next.blocked };
}

/** The knob of that id where it can be looked along. */
export const knobIn = ({ knobs }: Pick<Chip, "knobs">, id: string | null): SearchedKnob | null =>
  knobs.filter(isSearched).find((knob) => knob.id === id) ?? null;

async function adviceByKnob(
  journal: Journal,
  reckonings: Reckonings,
  { buildId, minutes, workloadId }: AdviceQuestion,
  { knob, plain }: Readonly<{ knob: SearchedKnob; plain: Advice }>,
): Promise<Advice> {
  if ("missing" in plain.proposal && plain.proposal.missing === "workload") return plain;
  const asked = { buildId, knobId: knob.id, minutes, workloadId };
  const next = await answerTo(reckonings, knobNextQuestion(journal, asked));
  if ("state" in next) return { ...plain, from: "fit", byKnob: { knob, next }, blocked: [] };
  const settled = "settled" in next ? next.because : null;
  return { ...plain, from: "fit", byKnob: { knob, next }, settled, blocked: next.blocked };
}

/** What was looked for is found: its proof, else what lies beside it. */
async function besidesSettled(
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

const isOpen = (asked: AdviceQuestion, run: Fitted | null): boolean =>
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

/** The clock to hold with less voltage, where that is what is looked for. */
const clockToHold = ({ aim, clockMhz }: Pick<AdviceQuestion, "aim" | "clockMhz">): number | null =>
  aim === "voltage" ? clockMhz : null;

const basicsOf = ({
  buildId,
  minutes,
  passedOver,
  pooled,
  again,
  workloadId,
}: AdviceQuestion): BuildNextQuestion => ({
  buildId,
  minutes: minutes ?? undefined,
  passedOver,
  pooled,
  ...(again !== null && { again }),
  ...(workloadId !== null && { workloadId }),
});

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

const proofS = 3600;

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
    planEndsSearch: fitted.planEndsSearch,
    blocked: fitted.blocked,
    taughtBy: fitted.taughtBy,
    byOffset: null,
    byKnob: null,
    leaveRunning: null,
  };
}
