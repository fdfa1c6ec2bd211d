import type { LimitContext, TooLittle } from "../limit/limitFit.ts";
import type { Use } from "../things/aim.ts";
import type { Setting } from "../things/setting.ts";
import type { BenchCosts } from "./benchCosts.ts";

export type { Setting } from "../things/setting.ts";

export type NextQuestion = LimitContext &
  Readonly<{
    /** Stay at this voltage. */
    voltageMv?: number | null;
    /** Look for the lowest voltage that holds this clock. */
    clockMhz?: number | null;
    /** Map the limit over these voltages; with none of the three, over the voltages already tried. */
    voltagesMv?: readonly number[] | null;
    /** Bench time there is; plans a sequence within it. */
    minutes?: number | null;
    workloadId?: string | null;
    costs?: Partial<BenchCosts>;
    /** Settings the tester passed over. */
    passedOver?: readonly Setting[];
    /** What the answer must pass; a benchmark where nothing is said. */
    use?: Use;
    /** An attempt that failed, to be run once more as it was: was it the clock? */
    again?: string | null;
    /** What a build that nothing ran on begins with, whatever is looked for. */
    begin?: Beginning | null;
  }>;

export type Beginning = Setting & Readonly<{ workloadId: string; durationS: number; because: string }>;

export type Purpose = "screen" | "prove" | "resolve" | "map";

export type Proposal = Setting &
  Readonly<{
    workloadId: string | null;
    durationS: number;
    purpose: Purpose;
    chanceOfPass: number;
    expectedMinutes: number;
    expectedTempC: Readonly<{ mid: number; low: number; high: number }> | null;
    because: string;
    /** What was wanted and may not be proposed, or a caution the tester should hear first. */
    blocked: readonly string[];
    /** Other builds of the chip that taught the start. */
    taughtBy: readonly string[];
    /** With `minutes`: what would follow if each attempt passes, as far as the time goes. */
    plan: readonly PlannedAttempt[] | null;
    /** Whether the search would be over with it, whatever time is left. */
    planEndsSearch: boolean;
  }>;

export type PlannedAttempt = Setting &
  Readonly<{ durationS: number; expectedMinutes: number; chanceOfPass: number }>;

export type MappedLimit = Readonly<{
  voltageMv: number;
  clockMhz: number;
  lowMhz: number;
  highMhz: number;
  /** Whether the limit is known near enough there. */
  known: boolean;
  /** What to run there: the chance that the hours pass, and whether it ran. Null where nothing is sure enough. */
  answer: Readonly<{ clockMhz: number; chance: number; ran: boolean }> | null;
}>;

/** What more bench time might still bring. */
export type Nearer = Readonly<{ minutes: number }> & Gain;

/** In clock where a clock is looked for, in voltage where a voltage is. */
export type Gain = Readonly<{ gainMhz: number | null; gainMv: number | null }>;

/** Hours to run where it has run already, while nobody needs the machine. */
export type LeaveRunning = Setting & Gain & Readonly<{ durationS: number; chanceOfPass: number }>;

export type Settled = Readonly<{
  settled:
    | Readonly<{ clockMhz: number; chance: number }>
    | Readonly<{ voltageMv: number; chance: number }>
    | Readonly<{ map: readonly MappedLimit[] }>;
  because: string;
  /** A long run that would prove the answer, null where one is on record; of a map the run that an answer of it lacks. */
  proof: Proposal | null;
  nearer: Nearer | null;
  leaveRunning: LeaveRunning | null;
  /** What was wanted and may not be proposed. */
  blocked: readonly string[];
  taughtBy: readonly string[];
}>;

export type NextAnswer = Proposal | Settled | TooLittle;
