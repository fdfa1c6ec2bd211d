/**
 * A start fails where the load's hazard would lie so many e-folds above once an hour; how many differs from chip to chip,
 * evenly between these, and is shared by all starts of one. Each start is a fresh draw, so the threshold is not sharp.
 */
const startsFailFrom = { lowest: 2, highest: 15, scatter: 1.5 } as const;

const { lowest, highest, scatter } = startsFailFrom;
const range = highest - lowest;

/** So far down nearly every start comes up: fewer than one in a thousand fails. */
export const startsSurelyUnder = -5;

/** Some chips start whatever the clock: what came up from further above than this tells no more of how sharp the limit is. */
const tellsUpTo = 10;

const softplus = (x: number): number => (x > 35 ? x : Math.log1p(Math.exp(x)));

/** How much of the thresholds lies under a reach, times the range over the scatter. */
const under = (reach: number): number =>
  softplus((reach - lowest) / scatter) - softplus((reach - highest) / scatter);

const underSlope = (reach: number): number =>
  1 / (1 + Math.exp((lowest - reach) / scatter)) - 1 / (1 + Math.exp((highest - reach) / scatter));

/**
 * The chance that a start `failed` e-folds up fails and one `up` e-folds up does not, over all thresholds: repeats and
 * harder starts add nothing, so the lowest that failed and the highest that came up stand for all. Infinity where none
 * failed, -Infinity where none came up. The integral of two logistic curves over an even prior, in closed form.
 */
export function chanceOfStarts(failed: number, reached: number): number {
  const up = Math.min(reached, tellsUpTo);
  if (failed === Infinity) return Math.max(0, 1 - (scatter / range) * under(up));
  if (up < lowest - 30 * scatter) return (scatter / range) * under(failed);
  const apart = (failed - up) / scatter;
  if (Math.abs(apart) < 1e-4) return (scatter / range) * underSlope((failed + up) / 2) * (1 + apart / 2);
  if (apart < -60) return 0;
  return Math.max(0, ((scatter / range) * (under(failed) - under(up))) / -Math.expm1(-apart));
}
