import type { LeaveRunning, PlannedAttempt, Proposal, Setting } from "../bench/next/nextAttempt.ts";
import type { KnobNext, SearchedKnob } from "../bench/scale/knobSearch.ts";
import type { OffsetNext } from "../bench/scale/offsetNext.ts";
import type { BuildNextQuestion } from "./limitOfBuild.ts";
import type { NoProposal, ProposalTold } from "./proposal.ts";

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
export const withoutFit = (proposal: Advice["proposal"]): Advice => ({
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

/** An attempt that the fit proposes, as advice: under the load of the plain one where it names none. */
export function adviceFrom(fitted: Proposal, plain: Advice, settled: string | null): Advice {
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

/** The question put to the fit, whatever the tester is after. */
export const basicsOf = ({
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
