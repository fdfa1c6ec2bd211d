/** The step the readings were taken in, from whole ones to thousandths, the widest that holds them all; null where they are finer. */
export const readingStep = (values: readonly number[]): number | null =>
  [1, 0.5, 0.1, 0.01, 0.001].find((step) => values.every((value) => isMultiple(value, step))) ?? null;

const isMultiple = (value: number, step: number): boolean =>
  Math.abs(value / step - Math.round(value / step)) < 1e-6;

/** Where readings scatter by less than a third of their own step, the scatter hides in the rounding. */
const hiddenUnderShare = 0.3;

/**
 * The standard uncertainty of rounding where it hides how far readings scatter; 0 elsewhere, where it is in their scatter.
 * Source: a reading lies anywhere within its step, JCGM 100:2008 (GUM) F.2.2.1.
 */
export const roundingUncertainty = (step: number | null, standardDeviation: number): number =>
  step === null || standardDeviation >= hiddenUnderShare * step ? 0 : step / Math.sqrt(12);
