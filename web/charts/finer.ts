import type uPlot from "uplot";
import type { Line, LineChart } from "../../server/html/lineChart.ts";
import type { Extent } from "../../server/html/plot.ts";
import { columnsOf } from "./columns.ts";

type Values = readonly (number | null)[];
type Window = Readonly<{ t: readonly number[]; min: Values; max: Values; mean: Values }>;
type Point = Readonly<{ at: number; mean: number | null; min: number | null; max: number | null }>;

const restMs = 150;

/** Only a line whose columns hold several readings has finer points to show. */
const isReduced = ({ min = [], max = [] }: Line): boolean => min.some((value, i) => value !== max[i]);

/** Whether a line has too few columns of its own in view for the room there is. */
const isCoarse = (line: Line, [low, high]: Extent, points: number): boolean =>
  isReduced(line) && line.x.filter((at) => at >= low && at <= high).length * 1.5 < points;

const windowOf = async (
  { address, shift }: NonNullable<Line["finer"]>,
  [low, high]: Extent,
  points: number,
): Promise<Window | undefined> => {
  const from = Math.max(0, low + shift);
  const asked = `${address}&from=${from}&to=${Math.max(from, high + shift)}&points=${points}`;
  const answer = await fetch(asked, { headers: { accept: "application/json" } }).catch(() => undefined);
  return answer?.ok ? ((await answer.json()) as Window) : undefined;
};

const pointsOf = (x: readonly number[], { mean, min, max }: Omit<Window, "t">): Point[] =>
  x.map((at, i) => ({ at, mean: mean[i] ?? null, min: min[i] ?? null, max: max[i] ?? null }));

/** The line with the window's columns where there are some, and its own outside; where it was broken it stays broken. */
const refined = (line: Line, window: Window, shift: number, high: number): Line => {
  const found = pointsOf(
    window.t.map((t) => t - shift),
    window,
  ).filter(({ mean }) => mean !== null);
  const first = found[0]?.at;
  if (first === undefined) return line;
  const { x, mean, min = mean, max = mean } = line;
  const own = pointsOf(x, { mean, min, max }).filter(
    (point) => point.at < first || point.at > high || point.mean === null,
  );
  const points = [...own, ...found].toSorted((a, b) => a.at - b.at);
  return {
    ...line,
    x: points.map((point) => point.at),
    mean: points.map((point) => point.mean),
    min: points.map((point) => point.min),
    max: points.map((point) => point.max),
  };
};

/** Looking closer at a long trace brings finer points of that stretch; without them the coarse ones stay. Gives the lines as they are drawn. */
export const bringFiner = (u: uPlot, chart: LineChart, [least, most]: Extent): (() => LineChart["lines"]) => {
  if (!chart.lines.some((line) => line.finer && isReduced(line))) return () => chart.lines;
  let shown = `${least} ${most}`;
  let drawn = chart.lines;
  let asked = 0;
  const lineIn = async (line: Line, view: Extent): Promise<Line> => {
    const points = Math.max(300, Math.round(u.over.clientWidth));
    if (!line.finer || !isCoarse(line, view, points)) return line;
    const window = await windowOf(line.finer, view, points);
    return window ? refined(line, window, line.finer.shift, view[1]) : line;
  };
  const show = async (): Promise<void> => {
    const { min = least, max = most } = u.scales.x ?? {};
    if (shown === `${min} ${max}`) return;
    shown = `${min} ${max}`;
    asked += 1;
    const mine = asked;
    const lines = await Promise.all(chart.lines.map((line) => lineIn(line, [min, max])));
    if (mine !== asked || !u.root.isConnected || lines.every((line, i) => line === drawn[i])) return;
    drawn = lines;
    u.batch(() => {
      u.setData(columnsOf({ ...chart, lines }) as uPlot.AlignedData, false);
      u.setScale("x", { min, max });
    });
  };
  let rest: ReturnType<typeof setTimeout> | undefined;
  u.hooks.setScale = [
    ...(u.hooks.setScale ?? []),
    (_, scale) => {
      if (scale !== "x") return;
      clearTimeout(rest);
      rest = setTimeout(() => void show(), restMs);
    },
  ];
  return () => drawn;
};
