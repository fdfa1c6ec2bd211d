import { renderToString } from "preact-render-to-string";
import { type IntervalRow, IntervalSvg } from "./intervalSvg.tsx";
import type { Plot } from "./plot.ts";
import { PlotSvg, printPalette } from "./plotSvg.tsx";

/** A plot as an SVG file that needs no style sheet; undefined where there is nothing to draw. */
export const plotPicture = (plot: Plot): string | undefined =>
  standing(renderToString(<PlotSvg plot={plot} palette={printPalette} />));

/** Differences with their intervals as an SVG file that needs no style sheet. */
export const intervalPicture = (
  title: string,
  rows: readonly IntervalRow[],
  nothing: string,
): string | undefined =>
  standing(
    renderToString(<IntervalSvg title={title} rows={rows} nothing={nothing} palette={printPalette} />),
  );

/** A file has a size of its own and paper behind it. */
const standing = (svg: string): string | undefined => {
  const box = /viewBox="0 0 ([\d.]+) ([\d.]+)"/.exec(svg);
  if (box === null) return undefined;
  const [, width, height] = box;
  const sized = svg.replace("<svg ", `<svg width="${width}" height="${height}" `);
  const paper = `<rect width="100%" height="100%" fill="${printPalette.paper}"/>`;
  return `<?xml version="1.0" encoding="UTF-8"?>\n${sized.replace(/^(<svg[^>]*>)/, `$1${paper}`)}\n`;
};
