import type { Span } from "../../bench/heat/spans.ts";
import type { Line } from "../../html/lineChart.ts";
import type { TraceSeries } from "../../store/traces/traceWindows.ts";

export const hundredths = (value: number): number => Math.round(value * 100) / 100;

type Points = Readonly<Pick<Line, "x" | "mean">> & Readonly<Required<Pick<Line, "min" | "max">>>;

/**
 * One channel as a line. A column without a reading is passed over, and the line goes on; in a gap that is longer than
 * the columns lie apart stands a row without a value, so that nothing is drawn across it.
 */
export function tracedLine(
  t: Float64Array,
  { mean, min, max }: Pick<TraceSeries, "mean" | "min" | "max">,
  gaps: readonly Span[],
  shiftS = 0,
): Points {
  const rows: { at: number; place: number | null }[] = [];
  for (let place = 0; place < t.length; place += 1)
    if (Number.isFinite(mean[place])) rows.push({ at: t[place] as number, place });
  const apartS = t.length > 1 ? ((t[t.length - 1] as number) - (t[0] as number)) / (t.length - 1) : 0;
  const [first = 0, last = 0] = [rows[0]?.at, rows[rows.length - 1]?.at];
  for (const { fromS, toS } of gaps) {
    const at = (fromS + toS) / 2;
    if (toS - fromS > apartS && at > first && at < last) rows.push({ at, place: null });
  }
  rows.sort((a, b) => a.at - b.at);
  const drawn = (values: Float64Array) =>
    rows.map(({ place }) => (place === null ? null : hundredths(values[place] as number)));
  return {
    x: rows.map(({ at }) => hundredths(at - shiftS)),
    mean: drawn(mean),
    min: drawn(min),
    max: drawn(max),
  };
}
