import { renderToString } from "preact-render-to-string";
import type { Extent, Plot } from "../../server/html/plot.ts";
import { PlotSvg } from "../../server/html/plotSvg.tsx";

/** The picture of a stretch that is looked at closely, as the server would draw it. */
export const closerPicture = (plot: Plot, x: Extent): SVGSVGElement | null => {
  const template = document.createElement("template");
  template.innerHTML = renderToString(<PlotSvg plot={plot} closer={x} />);
  return template.content.querySelector("svg");
};
