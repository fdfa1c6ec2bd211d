import { firstAtOrAfter, type HeatTrace, shareOf } from "./heatTrace.ts";
import { type Span, spansWhere } from "./spans.ts";

const joinS = 5;
const leastS = 2;

/**
 * When the chip throttled under load: as its flag says; else where the clock falls more than 1 % under the one set, or,
 * with none known, 3 % under its usual one; else where the power falls by a tenth and more while the load goes on.
 */
export function throttledSpans(trace: HeatTrace, loaded: Span, setClockMhz: number | null): readonly Span[] {
  const { t, throttle, clock, power } = trace;
  const isUnder = (row: number): boolean =>
    (t[row] as number) >= loaded.fromS + joinS && (t[row] as number) <= loaded.toS - 1;
  if (hasReadings(throttle))
    return spansWhere(t, (row) => isUnder(row) && (throttle?.[row] ?? 0) > 0, 0, joinS);
  if (hasReadings(clock)) {
    const bound = setClockMhz === null ? 0.97 * usualUnder(t, clock, loaded) : 0.99 * setClockMhz;
    return spansWhere(t, (row) => isUnder(row) && (clock[row] as number) < bound, leastS, joinS);
  }
  if (!hasReadings(power)) return [];
  const bound = 0.9 * usualUnder(t, power, loaded);
  return spansWhere(t, (row) => isUnder(row) && (power[row] as number) < bound, 3, joinS);
}

const hasReadings = (values: ArrayLike<number> | undefined): values is ArrayLike<number> =>
  values !== undefined && Array.prototype.some.call(values, (value: number) => Number.isFinite(value));

/** What a channel usually reads when nothing holds it back: the upper part of its first minutes under load. */
function usualUnder(t: ArrayLike<number>, values: ArrayLike<number>, { fromS, toS }: Span): number {
  const from = firstAtOrAfter(t, fromS + joinS);
  const to = firstAtOrAfter(t, Math.min(toS, fromS + 185));
  const seen: number[] = [];
  for (let row = from; row < to; row += 1) if (Number.isFinite(values[row])) seen.push(values[row] as number);
  return shareOf(seen, 0.75) ?? 0;
}
