import type { Axis, Layer, Plot, Tone } from "./plot.ts";

/** One line over x with, where it was reduced, the least and the greatest in each column. */
export type Line = Readonly<{
  label: string;
  tone: Tone;
  dashed?: boolean;
  x: readonly number[];
  mean: readonly (number | null)[];
  min?: readonly (number | null)[];
  max?: readonly (number | null)[];
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

/** At most `fewest` columns: the still picture needs no more, and keeps each column's extremes in its band. */
const layersOf = (line: Line): readonly Layer[] => {
  const every = Math.max(1, Math.ceil(line.x.length / fewest));
  const points: [number, number][] = [];
  const band: [number, number, number][] = [];
  for (let start = 0; start < line.x.length; start += every) {
    const rows = Array.from({ length: Math.min(every, line.x.length - start) }, (_, i) => start + i);
    const known = rows.filter((i) => line.mean[i] !== null && line.mean[i] !== undefined);
    const x = line.x[start] as number;
    if (known.length === 0) continue;
    points.push([x, known.reduce((sum, i) => sum + (line.mean[i] as number), 0) / known.length]);
    band.push([
      x,
      Math.min(...known.map((i) => line.min?.[i] ?? (line.mean[i] as number))),
      Math.max(...known.map((i) => line.max?.[i] ?? (line.mean[i] as number))),
    ]);
  }
  const { tone, label } = line;
  const strokes: Layer[] = [{ as: "line", tone, points, label, ...(line.dashed ? { dashed: true } : {}) }];
  return line.min || every > 1 ? [{ as: "band", tone, points: band }, ...strokes] : strokes;
};

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
