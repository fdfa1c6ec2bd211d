import { renderToString } from "preact-render-to-string";
import { type IntervalRow, IntervalSvg } from "./intervalSvg.tsx";
import type { Plot } from "./plot.ts";
import { PlotSvg, printPalette } from "./plotSvg.tsx";

/** A plot as an SVG file that needs no style sheet; undefined where there is nothing to draw. */
export const plotPicture = (plot: Plot): string | undefined =>
  standing(plot.title, renderToString(<PlotSvg plot={plot} palette={printPalette} />));

/** Differences with their intervals as an SVG file that needs no style sheet. */
export const intervalPicture = (
  title: string,
  rows: readonly IntervalRow[],
  nothing: string,
): string | undefined =>
  standing(
    title,
    renderToString(<IntervalSvg title={title} rows={rows} nothing={nothing} palette={printPalette} />),
  );

const margin = 16;
const titleHeight = 24;

/** A file has a size of its own, paper behind it, and says what it shows: it may be seen without its page. */
const standing = (title: string, svg: string): string | undefined => {
  const box = /viewBox="0 0 ([\d.]+) ([\d.]+)"/.exec(svg);
  if (box === null) return undefined;
  const [left, top] = [-margin, -margin - titleHeight];
  const [width, height] = [Number(box[1]) + 2 * margin, Number(box[2]) + 2 * margin + titleHeight];
  const sized = svg.replace(
    box[0],
    `width="${width}" height="${height}" viewBox="${left} ${top} ${width} ${height}"`,
  );
  const paper = `<rect x="${left}" y="${top}" width="100%" height="100%" fill="${printPalette.paper}"/>`;
  const words = renderToString(
    <text x="0" y={-titleHeight / 2} fill={printPalette.ink} font-size="15" font-weight="600">
      {title}
    </text>,
  );
  return `<?xml version="1.0" encoding="UTF-8"?>\n${sized.replace(/^(<svg[^>]*>)/, `$1${paper}${words}`)}\n`;
};
