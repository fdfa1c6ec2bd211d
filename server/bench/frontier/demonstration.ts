/**
 * How many runs without a failure show a pass rate with a confidence, and what rate so many have shown: the success-run
 * relation 1 - C = R^n.
 */
export const runsToShow = (rate: number, confidence: number): number =>
  Math.ceil(Math.log(1 - confidence) / Math.log(rate) - 1e-9);

export const rateShownBy = (runs: number, confidence: number): number => (1 - confidence) ** (1 / runs);

const asked = 0.95;
const inHundred = (share: number): string => `${Math.floor(100 * share + 1e-9)} in 100`;

/** What so few passes can show, as a sentence. */
export const passesShowWords = (): string =>
  `With nothing else known, one such pass shows with 95 % confidence only that ${inHundred(rateShownBy(1, asked))} of them would pass; ${runsToShow(asked, asked)} in a row would show ${inHundred(asked)}.`;
