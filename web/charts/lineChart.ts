import uPlot from "uplot";
import { formatElapsed, formatNumber } from "../../server/html/format.ts";
import { type LineChart, plotOfLines, stretchOf } from "../../server/html/lineChart.ts";
import { type Extent, extentsOf, type Layer, type Plot } from "../../server/html/plot.ts";
import { gutterOf, type View } from "../../server/html/plotShapes.ts";
import { lookCloser } from "./closer.ts";
import { columnsOf } from "./columns.ts";
import { drawBy } from "./draw.ts";
import { addEdges } from "./edges.ts";
import { bringFiner } from "./finer.ts";
import { followPage, frameOptions } from "./frame.ts";
import { type Inks, inksOf, onThemeChange } from "./inks.ts";
import { pointAgain, type ReaderPlace, readerPlaceOn } from "./readerPlace.ts";
import { readingLine, showReadings } from "./reading.ts";
import { showsOn } from "./shownOn.ts";
import { drawPlot, wordWidths } from "./strokes.ts";

/** Zones, rules and the labels at the lines' ends; the lines themselves are the library's. */
const around = (chart: LineChart): Plot => ({
  title: chart.title,
  x: chart.x,
  y: chart.y,
  layers: [
    ...(chart.zones ?? []),
    ...(chart.rules ?? []),
    ...chart.lines.flatMap(({ label, tone, x, mean }) => {
      const last = mean.findLastIndex((value) => value !== null);
      const [at, value] = [x[last], mean[last]];
      return at === undefined || value === null || value === undefined
        ? []
        : [{ as: "line" as const, tone, points: [[at, value] as const], label }];
    }),
  ],
});

/** The stretches of the lines that are in view, for labels to keep off. */
const linesIn = ({ lines }: LineChart, [low, high]: Extent): readonly Layer[] =>
  lines.map(({ tone, x, mean }) => ({
    as: "line",
    tone,
    points: x.flatMap((at, i) => {
      const value = mean[i];
      return at < low || at > high || value === null || value === undefined ? [] : [[at, value] as const];
    }),
  }));

const extentsOfLines = (chart: LineChart): Readonly<{ x: Extent; y: Extent }> | undefined => {
  const bands = chart.lines.map(({ tone, x, mean, min = mean, max = mean }) => ({
    as: "band" as const,
    tone,
    points: x.flatMap((at, i) => {
      const [low, high] = [min[i], max[i]];
      return low === null || low === undefined || high === null || high === undefined
        ? []
        : [[at, low, high] as const];
    }),
  }));
  return extentsOf({ ...around(chart), layers: [...bands, ...(chart.rules ?? [])] });
};

/** Where the reader's system makes several hues one; as `forced.css` has it for the still picture. */
const forcedDashes: Readonly<Record<string, number[]>> = { second: [10, 4], fourth: [10, 3, 2, 3] };

const dashOf = ({ tone, dashed }: LineChart["lines"][number]): number[] => {
  if (dashed) return [6, 4];
  return (matchMedia("(forced-colors: active)").matches && forcedDashes[tone]) || [];
};

const seriesOf = (chart: LineChart, inks: () => Inks): uPlot.Series[] =>
  chart.lines.flatMap((line): uPlot.Series[] => [
    {
      stroke: () => inks().tone(line.tone),
      width: 1.75,
      dash: dashOf(line),
      points: { show: false },
    },
    { stroke: "transparent", width: 0, points: { show: false } },
    { stroke: "transparent", width: 0, points: { show: false } },
  ]);

const bandsOf = (chart: LineChart, inks: () => Inks): uPlot.Band[] =>
  chart.lines.flatMap(({ tone, min }, i) =>
    min ? [{ series: [3 * i + 3, 3 * i + 2] as [number, number], fill: () => inks().wash(tone) }] : [],
  );

const farthest = 60;

/** What a line reads at a place, or close by where it has no row of its own there. */
const valueNear = (
  values: ArrayLike<number | null | undefined>,
  index: number,
): number | null | undefined => {
  for (let away = 0; away < farthest; away += 1) {
    const value = values[index - away] === undefined ? values[index + away] : values[index - away];
    if (value !== undefined) return value;
  }
  return undefined;
};

const readingsAt = (chart: LineChart, u: uPlot, index: number) => {
  const at = u.data[0][index];
  if (at === undefined) return [];
  const readings = chart.lines.flatMap(({ label }, i) => {
    const value = valueNear(u.data[3 * i + 1] ?? [], index);
    return value === null || value === undefined
      ? []
      : [{ words: `${label} ${formatNumber(value, chart.y.decimals ?? 1)} ${chart.y.unit}` }];
  });
  const { per, unit } = chart.x;
  const time = `${at < 0 ? "−" : ""}${formatElapsed(Math.abs(at))}`;
  return [{ words: per === 60 ? time : `${formatNumber(at, 0)} ${unit}` }, ...readings];
};

/** Left and right move along the line, a tenth of the view with Page Up and Page Down. */
const readByKey = (
  drawing: HTMLElement,
  u: uPlot,
  reader: ReaderPlace,
  read: (index: number) => void,
): void => {
  let index = reader.at === undefined ? 0 : u.valToIdx(reader.at[0]);
  drawing.addEventListener("keydown", (event) => {
    const far = Math.max(1, Math.round(u.data[0].length / 10));
    const by = { ArrowLeft: -1, ArrowRight: 1, PageDown: -far, PageUp: far }[event.key];
    if (by === undefined || event.target !== drawing) return;
    event.preventDefault();
    index = Math.min(u.data[0].length - 1, Math.max(0, index + by));
    const at = u.data[0][index] ?? 0;
    reader.at = [at, 0];
    u.setCursor({ left: u.valToPos(at, "x"), top: 0 }, false);
    read(index);
  });
};

/** Lines over x with their bands, several over one another. */
const lineChart = (figure: HTMLElement, drawing: HTMLElement, chart: LineChart): void => {
  const extents = extentsOfLines(chart);
  if (!extents) return;
  let inks = inksOf(figure);
  let placeEdges = (): void => {};
  const widthOf = wordWidths(inks);
  const line = readingLine(figure, drawing);
  const reader = readerPlaceOn(figure);
  const plot = around(chart);
  const gutter = (width: number): number => gutterOf(plot, width, widthOf);
  const options = frameOptions({ ...chart, extents, width: drawing.clientWidth, gutter, inks: () => inks });
  const drawAround = (u: uPlot): void => {
    const ratio = devicePixelRatio;
    const { left, top, width, height } = u.bbox;
    const x: Extent = [u.scales.x?.min ?? 0, u.scales.x?.max ?? 1];
    const view: View = {
      area: { left: left / ratio, top: top / ratio, width: width / ratio, height: height / ratio },
      gutter: gutter(u.width),
      x,
      y: [...extents.y],
      widthOf,
      keepOff: linesIn(chart, x),
    };
    drawPlot(u.ctx, plot, view, inks);
    placeEdges();
  };
  const u = new uPlot(
    {
      ...options,
      series: [{}, ...seriesOf(chart, () => inks)],
      bands: bandsOf(chart, () => inks),
      hooks: {
        ...options.hooks,
        draw: [drawAround],
        setCursor: [
          (chartNow) => {
            const { idx } = chartNow.cursor;
            if (idx === null || idx === undefined) return;
            reader.at = [chartNow.data[0][idx] ?? 0, 0];
            showReadings(line, readingsAt(chart, chartNow, idx));
          },
        ],
      },
    },
    columnsOf(chart) as uPlot.AlignedData,
    drawing,
  );
  const repaint = (): void => {
    inks = inksOf(figure);
    u.redraw(true, true);
  };
  onThemeChange(repaint);
  followPage(u, drawing, repaint);
  lookCloser(u, drawing, extents.x, reader);
  const read = (index: number): void => showReadings(line, readingsAt(chart, u, index));
  readByKey(drawing, u, reader, read);
  pointAgain(u, reader, (x) => read(u.valToIdx(x)));
  const drawnLines = bringFiner(u, chart, extents.x);
  showsOn(drawing, () => {
    const x: Extent = [u.scales.x?.min ?? 0, u.scales.x?.max ?? 1];
    const lines = drawnLines().map((one) => stretchOf(one, x));
    return { plot: plotOfLines({ ...chart, lines }), x };
  });
  placeEdges = addEdges(u, chart, extents.x);
  placeEdges();
};

export const drawLines = drawBy(lineChart);
