import type { LineChart } from "../../server/html/lineChart.ts";
import type { Plot } from "../../server/html/plot.ts";
import { charted } from "./charted.ts";
import { lineChart } from "./lineChart.ts";
import { plotChart } from "./plotChart.ts";

const drawingIn = (figure: HTMLElement, title: string): HTMLElement => {
  const drawing = document.createElement("div");
  drawing.className = "drawing";
  drawing.tabIndex = 0;
  drawing.setAttribute("role", "application");
  drawing.setAttribute("aria-roledescription", "chart");
  drawing.setAttribute(
    "aria-label",
    `${title}. Left and right read it out, plus and minus look closer, 0 shows all.`,
  );
  figure.prepend(drawing);
  return drawing;
};

/** Puts the drawing in place of the still picture. If that fails the picture stays. */
export const draw = (figure: HTMLElement): void => {
  const wanted = charted(figure.dataset.chartName ?? "") as (Plot & LineChart) | undefined;
  if (!wanted) return;
  const drawing = drawingIn(figure, wanted.title);
  if (figure.dataset.chart === "lines") lineChart(figure, drawing, wanted);
  else plotChart(figure, drawing, wanted);
  if (!figure.classList.contains("drawn")) drawing.remove();
};
