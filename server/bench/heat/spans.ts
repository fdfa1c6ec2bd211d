import { usualSpacing } from "./heatTrace.ts";

export type Span = Readonly<{ fromS: number; toS: number }>;

/** Stretches of rows that a test holds for, those closer than `joinS` taken together and those shorter than `leastS` left out. */
export function spansWhere(
  t: ArrayLike<number>,
  holds: (row: number) => boolean,
  leastS: number,
  joinS: number,
): readonly Span[] {
  const spans: { fromS: number; toS: number }[] = [];
  for (let row = 0; row < t.length; row += 1) {
    if (!holds(row)) continue;
    const at = t[row] as number;
    const last = spans[spans.length - 1];
    if (last !== undefined && at - last.toS <= joinS) last.toS = at;
    else spans.push({ fromS: at, toS: at });
  }
  return spans.filter(({ fromS, toS }) => toS - fromS >= leastS);
}

/** A gap is five usual spacings without a row or a reading, and five seconds at least. */
export function gapsOf(t: ArrayLike<number>, temperature: ArrayLike<number>): readonly Span[] {
  const least = Math.max(5, 5 * usualSpacing(t));
  const gaps: Span[] = [];
  let last: number | undefined;
  for (let row = 0; row < t.length; row += 1) {
    if (!Number.isFinite(temperature[row])) continue;
    const at = t[row] as number;
    if (last !== undefined && at - last > least) gaps.push({ fromS: last, toS: at });
    last = at;
  }
  const end = t[t.length - 1];
  if (last !== undefined && end !== undefined && end - last > least) gaps.push({ fromS: last, toS: end });
  return gaps;
}
