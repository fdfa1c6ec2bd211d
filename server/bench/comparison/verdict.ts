import {
  type CombinedUncertainty,
  type Contribution,
  combinedUncertainty,
  coverageFactor,
} from "../../numerics/combinedUncertainty.ts";

/** What may be said of a difference. */
export type Verdict = "differs" | "within-scatter" | "not-enough";

export const verdictWords: Readonly<Record<Verdict, string>> = {
  differs: "differs",
  "within-scatter": "no difference beyond scatter",
  "not-enough": "not enough runs",
};

/** Said of a row that differs where all that is judged together does not. */
export const aloneWords = "differs by itself";

/** One line of the uncertainty budget: standard uncertainties of each build's figure, in the measure's unit. */
export type BudgetLine = Readonly<{
  source: string;
  a: number | null;
  b: number | null;
  from: string;
  /** False where another line contains it already. */
  counted: boolean;
  /** What the line rests on; null where it was stated, not found from repeats. */
  degreesOfFreedom: number | null;
}>;

/**
 * The counted lines combined into an interval around the difference, at 95 %, never narrower than any line alone: a lucky
 * small scatter beside a stated accuracy would else claim more than so few repeats can (measured: 92 % for 95).
 */
export function budgetTotal(lines: readonly BudgetLine[]): CombinedUncertainty | undefined {
  const parts = lines.filter((line) => line.counted).map(contributionOf);
  const total = combinedUncertainty(parts);
  if (total === undefined) return undefined;
  const alone = parts.map((part) => combinedUncertainty([part])?.expanded ?? Infinity);
  return { ...total, expanded: Math.max(total.expanded, ...alone) };
}

const contributionOf = (line: BudgetLine): Contribution => ({
  standard: Math.hypot(line.a ?? 0, line.b ?? 0),
  degreesOfFreedom: line.degreesOfFreedom ?? Infinity,
});

/** An interval that leaves zero out differs; an open end counts as far away. */
export const verdictOf = (low: number | null, high: number | null): Verdict => {
  if (low === null && high === null) return "not-enough";
  if ((low !== null && low > 0) || (high !== null && high < 0)) return "differs";
  return low === null || high === null ? "not-enough" : "within-scatter";
};

/** Beyond this many repeats of each build nobody goes on. */
export const mostRepeats = 30;

/**
 * How many repeats of each build would tell a difference of this size from none, where one repeat scatters by the standard
 * deviation given; null beyond thirty.
 */
export function repeatsToDecide(difference: number, scatter: number, knownDegrees = 0): number | null {
  for (let each = 2; each <= mostRepeats; each++) {
    const factor = coverageFactor(0.95, Math.max(knownDegrees, 2 * (each - 1)))!;
    if (factor * scatter * Math.sqrt(2 / each) <= Math.abs(difference)) return each;
  }
  return null;
}

/** Decimal noise of a subtraction taken out: 84.3 less 22.1 is 62.2. */
export const toMillionths = (value: number): number => Math.round(value * 1e6) / 1e6;

const mostDigits = 6;

/** The digits with which no end of an interval is rounded to zero, so that what is printed cannot turn a verdict. */
export function sidedDigits(digits: number, ...ends: readonly (number | null)[]): number {
  const vanishes = (end: number | null, at: number): boolean =>
    end !== null && end !== 0 && Number(end.toFixed(at)) === 0;
  let enough = digits;
  while (enough < mostDigits && ends.some((end) => vanishes(end, enough))) enough += 1;
  return enough;
}
