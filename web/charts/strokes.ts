import type { Plot } from "../../server/html/plot.ts";
import { type PlotWord, plotShapes, type Stroke, type View } from "../../server/html/plotShapes.ts";
import type { Inks } from "./inks.ts";

const drawStroke = (ctx: CanvasRenderingContext2D, stroke: Stroke, inks: Inks): void => {
  const path = new Path2D(stroke.path);
  const ink = inks.tone(stroke.tone);
  if (stroke.fill !== "none") {
    ctx.fillStyle =
      stroke.fill === "wash" ? inks.wash(stroke.tone) : stroke.fill === "full" ? ink : inks.paper;
    ctx.fill(path);
  }
  if (stroke.width === 0) return;
  ctx.strokeStyle = ink;
  ctx.lineWidth = stroke.width;
  ctx.setLineDash([...(stroke.dashes ?? [])]);
  ctx.stroke(path);
};

const drawWord = (ctx: CanvasRenderingContext2D, { words, x, y, tone }: PlotWord, inks: Inks): void => {
  ctx.strokeStyle = inks.paper;
  ctx.lineWidth = 4;
  ctx.strokeText(words, x, y);
  ctx.fillStyle = inks.tone(tone);
  ctx.fillText(words, x, y);
};

const boldFont = (inks: Inks): string => `600 ${inks.font}`;

export const wordWidths = (inks: Inks): View["widthOf"] => {
  const ctx = document.createElement("canvas").getContext("2d");
  if (!ctx) return (words) => words.length * 7;
  ctx.font = boldFont(inks);
  const widths = new Map<string, number>();
  return (words) => {
    const width = widths.get(words) ?? ctx.measureText(words).width;
    widths.set(words, width);
    return width;
  };
};

/** Draws the plot into the view, in CSS pixels; strokes stay inside the plotting area, words may leave it to the right. */
export const drawPlot = (ctx: CanvasRenderingContext2D, plot: Plot, view: View, inks: Inks): void => {
  const { strokes, words } = plotShapes(plot, view);
  const { left, top, width, height } = view.area;
  ctx.save();
  ctx.scale(devicePixelRatio, devicePixelRatio);
  ctx.lineJoin = "round";
  ctx.save();
  ctx.beginPath();
  ctx.rect(left, top, width, height);
  ctx.clip();
  for (const stroke of strokes) drawStroke(ctx, stroke, inks);
  ctx.restore();
  ctx.font = boldFont(inks);
  ctx.textAlign = "left";
  ctx.textBaseline = "middle";
  ctx.setLineDash([]);
  for (const word of words) drawWord(ctx, word, inks);
  ctx.restore();
};
