import type { Axis, BandPoint, Extent, Layer, Plot, Point, Tone } from "./plot.ts";

/** One line over x with, where it was reduced, the least and the greatest in each column. */
export type Line = Readonly<{
  label: string;
  tone: Tone;
  dashed?: boolean;
  x: readonly number[];
  mean: readonly (number | null)[];
  min?: readonly (number | null)[];
  max?: readonly (number | null)[];
  /** Where finer points are to be had of a line that was reduced, and what they are to be moved back by along x. */
  finer?: Readonly<{ address: string; shift: number }>;
}>;

/** Edges to drag, each bound to a field of the page by its id. */
export type Edge = Readonly<{ at: number; label: string; field: string }>;

export type LineChart = Readonly<{
  title: string;
  x: Axis;
  y: Axis;
  lines: readonly Line[];
  rules?: readonly Extract<Layer, { as: "rule" }>[];
  zones?: readonly Extract<Layer, { as: "zone" }>[];
  edges?: readonly Edge[];
}>;

const fewest = 300;

/** Stretches without a row that has no value: a line is broken there. */
function stretchesOf({ mean }: Line): readonly (readonly [from: number, to: number])[] {
  const stretches: [number, number][] = [];
  let from = 0;
  for (let i = 0; i <= mean.length; i += 1) {
    if (i < mean.length && mean[i] !== null && mean[i] !== undefined) continue;
    if (i > from) stretches.push([from, i]);
    from = i + 1;
  }
  return stretches;
}

/** At most about `fewest` columns: the still picture needs no more, and keeps each column's extremes in its band. */
const layersOf = (line: Line): readonly Layer[] => {
  const every = Math.max(1, Math.ceil(line.x.length / fewest));
  const isBanded = line.min !== undefined || every > 1;
  const stretches = stretchesOf(line).map((stretch) => columnsIn(line, stretch, every));
  const { tone, label } = line;
  const dashed = line.dashed ? { dashed: true } : {};
  return [
    ...stretches.flatMap(({ band }): Layer[] =>
      isBanded ? [{ as: "band", tone, points: band, holds: `${label}, every reading` }] : [],
    ),
    ...stretches.map(({ points }, i): Layer => {
      const isLast = i === stretches.length - 1;
      return { as: "line", tone, points, ...dashed, ...(isLast ? { label } : {}) };
    }),
  ];
};

function columnsIn(
  { x, mean, min = mean, max = mean }: Line,
  [from, to]: readonly [number, number],
  every: number,
) {
  const points: Point[] = [];
  const band: BandPoint[] = [];
  for (let start = from; start < to; start += every) {
    const end = Math.min(start + every, to);
    const of = (values: Line["mean"]) => values.slice(start, end) as readonly number[];
    const at = x[start] as number;
    points.push([at, of(mean).reduce((sum, value) => sum + value, 0) / (end - start)]);
    band.push([at, Math.min(...of(min)), Math.max(...of(max))]);
  }
  return { points, band };
}

/** What of a line lies in a stretch of x, with the points next to it, so that it runs to the edges. */
export function stretchOf(line: Line, [low, high]: Extent): Line {
  const first = line.x.findIndex((at) => at >= low);
  const last = line.x.findLastIndex((at) => at <= high);
  if (first < 0 || last < 0) return { ...line, x: [], mean: [] };
  const part = <Value>(values: readonly Value[]): readonly Value[] =>
    values.slice(Math.max(0, first - 1), last + 2);
  const { x, mean, min, max } = line;
  return {
    ...line,
    ...{ x: part(x), mean: part(mean) },
    ...(min && { min: part(min) }),
    ...(max && { max: part(max) }),
  };
}

/** The same chart as a plot, for the still picture. */
export const plotOfLines = (chart: LineChart): Plot => ({
  title: chart.title,
  x: chart.x,
  y: chart.y,
  layers: [
    ...(chart.zones ?? []),
    ...chart.lines.flatMap(layersOf),
    ...(chart.rules ?? []),
    ...(chart.edges ?? []).map(({ at, label }): Layer => ({ as: "rule", axis: "x", at, label, tone: "ink" })),
  ],
});
