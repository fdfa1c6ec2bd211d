import uPlot from "uplot";
import { extentsOf, type Mark, type Plot } from "../../server/html/plot.ts";
import { gutterOf, type View } from "../../server/html/plotShapes.ts";
import { lookCloser } from "./closer.ts";
import { drawBy } from "./draw.ts";
import { followPage, frameOptions } from "./frame.ts";
import { inksOf, onThemeChange } from "./inks.ts";
import { pointAgain, type ReaderPlace, readerPlaceOn } from "./readerPlace.ts";
import { type ChartReading, readingLine, showReadings } from "./reading.ts";
import { showsOn } from "./shownOn.ts";
import { drawPlot, wordWidths } from "./strokes.ts";

const viewOf = (u: uPlot, gutter: number, widthOf: View["widthOf"]): View => {
  const ratio = devicePixelRatio;
  const { left, top, width, height } = u.bbox;
  const { x, y } = u.scales;
  return {
    area: { left: left / ratio, top: top / ratio, width: width / ratio, height: height / ratio },
    gutter,
    x: [x?.min ?? 0, x?.max ?? 1],
    y: [y?.min ?? 0, y?.max ?? 1],
    widthOf,
  };
};

const marksOf = (plot: Plot): readonly Mark[] =>
  plot.layers
    .flatMap((layer) => (layer.as === "marks" ? layer.marks : []))
    .toSorted((a, b) => a.x - b.x || a.y - b.y);

const reach = 24;

/** Every mark as near the pointer as the nearest, within reach: marks may lie on one another. */
const marksNear = (u: uPlot, marks: readonly Mark[], left: number, top: number): readonly Mark[] => {
  const away = (mark: Mark): number =>
    Math.hypot(u.valToPos(mark.x, "x") - left, u.valToPos(mark.y, "y") - top);
  const nearest = marks.reduce((least, mark) => Math.min(least, away(mark)), Infinity);
  return nearest > reach ? [] : marks.filter((mark) => away(mark) <= nearest + 0.5);
};

const readingsOf = (marks: readonly Mark[]): readonly ChartReading[] =>
  marks.slice(0, 4).flatMap(({ words, href }) => (words ? [{ words, href }] : []));

const markAt = (marks: readonly Mark[], x: number | undefined, y: number | undefined): number =>
  marks.findIndex((mark) => mark.x === x && mark.y === y);

/** Left and right go from mark to mark, Enter follows the one read. */
const readByKey = (
  drawing: HTMLElement,
  marks: readonly Mark[],
  reader: ReaderPlace,
  read: (mark: Mark) => void,
): void => {
  const [x, y] = reader.at ?? [];
  let at = markAt(marks, x, y);
  drawing.addEventListener("keydown", (event) => {
    const by = event.key === "ArrowRight" ? 1 : event.key === "ArrowLeft" ? -1 : 0;
    if (by !== 0 && marks.length > 0) {
      event.preventDefault();
      at = Math.min(marks.length - 1, Math.max(0, at + by));
      const mark = marks[at] as Mark;
      reader.at = [mark.x, mark.y];
      read(mark);
    }
    const href = marks[at]?.href;
    if (event.key === "Enter" && href) location.assign(href);
  });
};

/** Marks, steps, lines and bands over two axes. */
const plotChart = (figure: HTMLElement, drawing: HTMLElement, plot: Plot): void => {
  const extents = extentsOf(plot);
  if (!extents) return;
  let inks = inksOf(figure);
  const widthOf = wordWidths(inks);
  const marks = marksOf(plot);
  const line = readingLine(figure, drawing);
  const reader = readerPlaceOn(figure);
  const gutter = (width: number): number => gutterOf(plot, width, widthOf);
  const options = frameOptions({ ...plot, extents, width: drawing.clientWidth, gutter, inks: () => inks });
  const u = new uPlot(
    {
      ...options,
      cursor: { ...options.cursor, x: false },
      series: [{}, { show: false }],
      hooks: {
        ...options.hooks,
        draw: [(chart) => drawPlot(chart.ctx, plot, viewOf(chart, gutter(chart.width), widthOf), inks)],
        setCursor: [
          ({ cursor: { left = -1, top = -1 } }) => {
            if (left < 0) return;
            reader.at = [u.posToVal(left, "x"), u.posToVal(top, "y")];
            showReadings(line, readingsOf(marksNear(u, marks, left, top)));
          },
        ],
      },
    },
    [[...extents.x], [...extents.y]],
    drawing,
  );
  const repaint = (): void => {
    inks = inksOf(figure);
    u.redraw(false, true);
  };
  onThemeChange(repaint);
  followPage(u, drawing, repaint);
  lookCloser(u, drawing, extents.x, reader);
  pointAgain(u, reader, (x, y) => {
    const read = marks[markAt(marks, x, y)];
    const near = read ? [read] : marksNear(u, marks, u.valToPos(x, "x"), u.valToPos(y, "y"));
    showReadings(line, readingsOf(near));
  });
  showsOn(drawing, () => ({ plot, x: viewOf(u, 0, widthOf).x }));
  readByKey(drawing, marks, reader, (mark) => showReadings(line, readingsOf([mark])));
  u.redraw(false, true);
};

export const drawMarks = drawBy(plotChart);
