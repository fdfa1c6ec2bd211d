import type { Assumptions } from "./assumptions.ts";
import { toMillionths, type Verdict, verdictOf } from "./verdict.ts";

/** A difference between fitted limits in MHz, b less a, with its 95 % ends; an end is null where that build has only passed. */
type LimitsApart = Readonly<{ differenceMhz: number; low: number | null; high: number | null }>;

/** What a fit of both builds says: one difference, and the same at each voltage that it is the mean over. */
export type ClockApart = LimitsApart &
  Readonly<{
    /** True where one chip carries both, fitted together; two chips are fitted apart. */
    joint: boolean;
    voltages: readonly (LimitsApart & Readonly<{ voltageMv: number }>)[];
  }>;

export type JudgedApart = Readonly<{
  differenceMhz: number | null;
  low: number | null;
  high: number | null;
  verdict: Verdict;
}>;

/** The difference in clock of two builds as it is told: one figure, judged once. */
export type JudgedClock = JudgedApart &
  Readonly<{
    voltages: readonly (JudgedApart & Readonly<{ voltageMv: number }>)[];
    smallerThan: "clock-step" | "worth-having" | null;
    /** How it was found, or what is missing. */
    because: string;
  }>;

export function judgedClock(
  apart: ClockApart | null,
  assumptions: Pick<Assumptions, "clockStepMhz" | "worthHaving">,
): JudgedClock {
  if (apart === null) return { ...unknown, voltages: [], smallerThan: null, because: lacking };
  const whole = judged(apart);
  return {
    ...whole,
    voltages: apart.voltages.map((one) => ({ voltageMv: one.voltageMv, ...judged(one) })),
    smallerThan: smallerThan(whole, assumptions),
    because: apart.joint ? together : apartWords,
  };
}

const unknown = { differenceMhz: null, low: null, high: null, verdict: "not-enough" } as const;

const lacking =
  "No difference between their limits is fitted: each build takes three attempts that say something of the clock, one of the two a crash, at voltages that meet.";
const together =
  "Both builds fitted together: one chip, whose limit is taken to move by the same share of clock at every voltage, besides what the heat does.";
const apartWords = "Each build fitted by itself, since two chips need not bend alike.";

const judged = ({ differenceMhz, low, high }: LimitsApart): JudgedApart => {
  const ends = {
    low: low === null ? null : toMillionths(low),
    high: high === null ? null : toMillionths(high),
  };
  return { differenceMhz: toMillionths(differenceMhz), ...ends, verdict: verdictOf(ends.low, ends.high) };
};

/** Why even a real difference does not matter. */
export function smallerThan(
  { differenceMhz, verdict }: JudgedApart,
  { clockStepMhz, worthHaving }: Pick<Assumptions, "clockStepMhz" | "worthHaving">,
): JudgedClock["smallerThan"] {
  if (verdict !== "differs" || differenceMhz === null) return null;
  const size = Math.abs(differenceMhz);
  if (size < clockStepMhz) return "clock-step";
  return size < (worthHaving.clock ?? 0) ? "worth-having" : null;
}
