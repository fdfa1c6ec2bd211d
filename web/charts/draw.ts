import type { LineChart } from "../../server/html/lineChart.ts";
import type { Plot } from "../../server/html/plot.ts";
import { charted } from "./charted.ts";

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

type Draws = (figure: HTMLElement, drawing: HTMLElement, wanted: Plot & LineChart) => void;

/** Puts the drawing in place of the still picture. If that fails the picture stays. */
export const drawBy =
  (draws: Draws) =>
  (figure: HTMLElement): void => {
    const wanted = charted(figure.dataset.chartName ?? "") as (Plot & LineChart) | undefined;
    if (!wanted) return;
    const drawing = drawingIn(figure, wanted.title);
    draws(figure, drawing, wanted);
    if (!figure.classList.contains("drawn")) drawing.remove();
  };
