/** Seconds of clean running per second of lower bound: with no failure, 95 % one-sided, T / -ln(0.05). */
const zeroFailureFactor = -Math.log(0.05);
const askedHours = [1, 8] as const;

export type Survival = Readonly<{ lower: number; expected: number }>;
export type SurviveHours = Readonly<Record<(typeof askedHours)[number], Survival>>;

/** The mean time between failures that clean running of `exposureS` seconds shows at least, with 95 % confidence. */
export const mtbfLowerS = (exposureS: number): number => exposureS / zeroFailureFactor;

/** The chance of surviving some hours more, at least and expected, after `exposureS` seconds without a failure. */
export const surviveHours = (exposureS: number): SurviveHours => ({
  1: survival(exposureS, askedHours[0]),
  8: survival(exposureS, askedHours[1]),
});

function survival(exposureS: number, hours: number): Survival {
  const wantedS = hours * 3600;
  return {
    lower: Math.exp(-wantedS / mtbfLowerS(exposureS)),
    expected: Math.sqrt(exposureS / (exposureS + wantedS)),
  };
}
