import { mean } from "./moments.ts";

/**
 * The autocorrelation at a lag, with the mean and the sum of squares of the whole series below; undefined where the
 * series is no longer than the lag or does not vary. Source: the convention of the Statistical Reference Datasets (NIST).
 */
export function autocorrelation(values: ArrayLike<number>, lag = 1): number | undefined {
  const centre = mean(Array.from(values));
  if (centre === undefined || values.length <= lag) return undefined;
  let products = 0;
  let squares = 0;
  for (let i = 0; i < values.length; i += 1) {
    const deviation = (values[i] as number) - centre;
    squares += deviation * deviation;
    if (i >= lag) products += deviation * ((values[i - lag] as number) - centre);
  }
  return squares > 0 ? products / squares : undefined;
}

export type Period = Readonly<{ lag: number; correlation: number }>;

/**
 * The period at which a series repeats itself: the first peak of the autocorrelation after it has crossed zero. Undefined
 * where the series is too short to hold three of them, or where there is no peak. Method: a later peak takes the place of
 * an earlier one only where it is a seventh higher. In whole lags. Cost: length times the longest lag.
 */
export function periodOf(values: ArrayLike<number>): Period | undefined {
  const longest = Math.floor(values.length / 3);
  const correlations = Array.from(
    { length: longest + 2 },
    (_, lag) => autocorrelation(values, lag) ?? Number.NaN,
  );
  const crossing = correlations.findIndex((value) => value < 0);
  if (crossing < 1) return undefined;
  let best: Period | undefined;
  for (let lag = crossing + 1; lag <= longest; lag += 1) {
    const here = correlations[lag] as number;
    const isPeak = here >= (correlations[lag - 1] as number) && here >= (correlations[lag + 1] as number);
    if (isPeak && here > (best?.correlation ?? 0) * 1.15) best = { lag, correlation: here };
  }
  return best;
}
