import { studentQuantile } from "./distributions.ts";

/** One independent contribution: its standard uncertainty and the degrees of freedom it rests on (Infinity where stated). */
export type Contribution = Readonly<{ standard: number; degreesOfFreedom: number }>;

export type CombinedUncertainty = Readonly<{
  standard: number;
  /** Effective degrees of freedom, truncated down; Infinity where nothing rests on repeats. */
  degreesOfFreedom: number;
  /** Half-width of the two-sided interval at the level asked. */
  expanded: number;
}>;

/**
 * Independent contributions combined by root sum of squares; undefined where the effective degrees of freedom are below 1.
 * Method: Welch-Satterthwaite from the unrounded combined uncertainty, truncated down to a whole number, and Student's t.
 * Source: JCGM 100:2008 (GUM) G.4 and G.6.4.
 */
export function combinedUncertainty(
  contributions: readonly Contribution[],
  level = 0.95,
): CombinedUncertainty | undefined {
  const variance = contributions.reduce((sum, part) => sum + part.standard ** 2, 0);
  const degreesOfFreedom = wholeDown(effectiveDegreesOfFreedom(contributions, variance));
  const factor = coverageFactor(level, degreesOfFreedom);
  if (degreesOfFreedom < 1 || factor === undefined) return undefined;
  const standard = Math.sqrt(variance);
  return { standard, degreesOfFreedom, expanded: factor * standard };
}

function effectiveDegreesOfFreedom(contributions: readonly Contribution[], variance: number): number {
  const share = contributions.reduce((sum, part) => sum + part.standard ** 4 / part.degreesOfFreedom, 0);
  return share === 0 ? Infinity : variance ** 2 / share;
}

/** Two equal contributions give exactly twice the degrees of freedom, whatever the last bit says. */
const wholeDown = (value: number): number => (value === Infinity ? value : Math.floor(value * (1 + 1e-12)));

/**
 * How many standard uncertainties reach to the ends of a two-sided interval; undefined for degrees of freedom not above 0.
 * Source: GUM G.3, by `studentQuantile`, and as accurate. Asked over and over for the same few whole degrees, so those are
 * kept, up to 1,000.
 */
export function coverageFactor(level: number, degreesOfFreedom: number): number | undefined {
  if (level !== 0.95 || !Number.isInteger(degreesOfFreedom) || degreesOfFreedom > 1000)
    return studentQuantile((1 + level) / 2, degreesOfFreedom);
  const known = factors95[degreesOfFreedom];
  if (known !== undefined) return known;
  const factor = studentQuantile(0.975, degreesOfFreedom);
  if (factor !== undefined) factors95[degreesOfFreedom] = factor;
  return factor;
}

const factors95: number[] = [];

/** The degrees of freedom of two independent parts together (Welch-Satterthwaite, not truncated); Infinity for two zeros. */
export const degreesTogether = (a: Contribution, b: Contribution): number =>
  effectiveDegreesOfFreedom([a, b], a.standard ** 2 + b.standard ** 2);
