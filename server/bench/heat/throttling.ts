import { pulseOf } from "./heatCycle.ts";
import type { HeatQuestion } from "./heatReading.ts";
import { between, firstAtOrAfter, type HeatTrace, meanOf, readingsOf, shareOf } from "./heatTrace.ts";
import { type Span, spansWhere } from "./spans.ts";

const joinS = 5;
const leastS = 2;
/** A temperature this near its limit may be what takes power away. */
const atLimitC = 2;

/**
 * When the chip throttled under load: as its flag says; else where the clock falls more than 1 % under the one set, or,
 * with none known, 3 % under its usual one; else, at its temperature limit alone, where the power falls by a tenth: a load
 * may switch on and off for reasons of its own.
 */
export function throttledSpans(
  trace: HeatTrace,
  loaded: Span,
  { setClockMhz, tempLimitC }: Pick<HeatQuestion, "setClockMhz" | "tempLimitC">,
): readonly Span[] {
  const { t, throttle, clock, power, temperature } = trace;
  const isUnder = (row: number): boolean =>
    (t[row] as number) >= loaded.fromS + joinS && (t[row] as number) <= loaded.toS - 1;
  if (hasReadings(throttle))
    return spansWhere(t, (row) => isUnder(row) && (throttle?.[row] ?? 0) > 0, 0, joinS);
  if (hasReadings(clock)) {
    const bound = setClockMhz == null ? 0.97 * usualUnder(t, clock, loaded) : 0.99 * setClockMhz;
    return spansWhere(t, (row) => isUnder(row) && (clock[row] as number) < bound, leastS, joinS);
  }
  if (!hasReadings(power) || tempLimitC == null) return [];
  const bound = 0.9 * usualUnder(t, power, loaded);
  if (pulseOf(trace, loaded) !== undefined) return [];
  const isHot = (row: number): boolean => (temperature[row] as number) >= tempLimitC - atLimitC;
  return spansWhere(t, (row) => isUnder(row) && isHot(row) && (power[row] as number) < bound, 3, joinS);
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

/** A run is told as held back where that took a twentieth of it and more. */
const heldBackShare = 0.05;

/** The mean clock over the last minutes of a run that was held back for long; null where it was not, or no clock says. */
export function heldBackMhz(trace: HeatTrace, loaded: Span, throttled: readonly Span[]): number | null {
  const heldS = throttled.reduce((sum, { fromS, toS }) => sum + toS - fromS, 0);
  if (trace.clock === undefined || heldS < heldBackShare * (loaded.toS - loaded.fromS) || heldS === 0)
    return null;
  const last = throttled.at(-1)?.toS ?? loaded.toS;
  const { values } = between(
    readingsOf(trace.t, trace.clock),
    Math.max(loaded.fromS + joinS, last - 180),
    last,
  );
  return meanOf(values) ?? null;
}
