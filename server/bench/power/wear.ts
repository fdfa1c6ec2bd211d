/** Boltzmann's constant in eV per kelvin (CODATA 2018, exact to these digits). */
const boltzmannEvPerK = 8.617333262e-5;
const kelvin = (celsius: number): number => celsius + 273.15;

/** How much faster something activated by heat goes at the second temperature: above 1 where that is hotter. */
export const arrheniusFactor = (activationEv: number, fromC: number, toC: number): number =>
  Math.exp((activationEv / boltzmannEvPerK) * (1 / kelvin(fromC) - 1 / kelvin(toC)));

/** A setting as wear sees it. */
export type WornSetting = Readonly<{ voltageMv: number; tempC: number }>;

/** How many times faster the second setting wears: a rough middle and the range in which it may lie. */
export type RelativeWear = Readonly<{
  low: number;
  middle: number;
  high: number;
  words: string;
  caution: string;
}>;

const wearCaution =
  "No chip was measured for this: it is the common laws with the widest usual constants, and your chip may lie outside. It says which of two settings wears faster, not how long either lasts.";

/** Usual constants of silicon's ageing (common practice, from memory): activation 0.3 to 0.9 eV, voltage to the power of 3 to 12. */
const activationsEv = { low: 0.3, middle: 0.6, high: 0.9 };
const exponents = { low: 3, middle: 6, high: 12 };

/** Relative wear between two settings by voltage and temperature. */
export function relativeWear(from: WornSetting, to: WornSetting): RelativeWear {
  const factor = (activationEv: number, exponent: number): number =>
    (to.voltageMv / from.voltageMv) ** exponent * arrheniusFactor(activationEv, from.tempC, to.tempC);
  const corners = [activationsEv.low, activationsEv.high].flatMap((activation) =>
    [exponents.low, exponents.high].map((exponent) => factor(activation, exponent)),
  );
  const [low, high] = [Math.min(...corners), Math.max(...corners)];
  const middle = factor(activationsEv.middle, exponents.middle);
  return { low, middle, high, words: wearWords(low, high), caution: wearCaution };
}

const wearWords = (low: number, high: number): string => {
  if (low >= 1) return `Wears ${short(low)} to ${short(high)} times as fast.`;
  if (high <= 1) return `Wears ${short(1 / high)} to ${short(1 / low)} times more slowly.`;
  return `May wear up to ${short(high)} times as fast or up to ${short(1 / low)} times more slowly.`;
};

const short = (factor: number): string => (factor < 10 ? factor.toFixed(1) : factor.toFixed(0));
