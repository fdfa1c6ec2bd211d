import type uPlot from "uplot";
import type { Axis, Extent } from "../../server/html/plot.ts";
import { axisTicks, tickWords } from "../../server/html/ticks.ts";
import type { Inks } from "./inks.ts";

const heightOf = (width: number): number => Math.round(Math.min(440, Math.max(300, width * 0.56)));

const spacing = { x: 90, y: 50 } as const;

const axisOf = (axis: Axis, scale: "x" | "y", inks: () => Inks): uPlot.Axis => ({
  scale,
  stroke: () => inks().soft,
  font: inks().font,
  size: scale === "x" ? 30 : 50,
  gap: scale === "x" ? 6 : 8,
  ticks: { show: false },
  grid: scale === "x" ? { show: false } : { stroke: () => inks().rule, width: 1 },
  splits: (u, _, low, high) => [
    ...axisTicks(axis, [low, high], (scale === "x" ? u.width : u.height) / spacing[scale]),
  ],
  values: (_, splits) => [...tickWords(axis, splits)],
});

/** Axis names stand where they take no room from the drawing: above the one, under the other. */
const axisNames =
  (x: Axis, y: Axis, inks: () => Inks) =>
  (u: uPlot): void => {
    const { ctx, bbox } = u;
    ctx.save();
    ctx.font = inks().font.replace("13px", `${13 * devicePixelRatio}px`);
    ctx.fillStyle = inks().soft;
    ctx.textAlign = "left";
    ctx.textBaseline = "alphabetic";
    ctx.fillText(`${y.label}, ${y.unit}`, 0, bbox.top - 14 * devicePixelRatio);
    ctx.fillText(`${x.label}, ${x.unit}`, bbox.left, ctx.canvas.height - 6 * devicePixelRatio);
    ctx.restore();
  };

type Wanted = Readonly<{
  x: Axis;
  y: Axis;
  extents: Readonly<{ x: Extent; y: Extent }>;
  width: number;
  /** The room beside the drawing at a width. */
  gutter: (width: number) => number;
  inks: () => Inks;
}>;

/** What every chart of ours shares: room, axes, no legend, zoom along x by dragging. */
export const frameOptions = ({
  x,
  y,
  extents,
  width,
  gutter,
  inks,
}: Wanted): Omit<uPlot.Options, "series"> => ({
  width,
  height: heightOf(width),
  padding: [32, (u) => gutter(u.width), 24, 0],
  legend: { show: false },
  scales: {
    x: { time: false, range: (_, low, high) => [low, high] },
    y: { range: () => [...extents.y] as [number, number] },
  },
  axes: [axisOf(x, "x", inks), axisOf(y, "y", inks)],
  cursor: { y: false, points: { show: false }, drag: { x: true, y: false, setScale: true } },
  hooks: { drawAxes: [axisNames(x, y, inks)] },
});

/** Follows the width of its place and the theme of the page. */
export const followPage = (u: uPlot, place: HTMLElement, redraw: () => void): void => {
  new ResizeObserver(([entry]) => {
    const width = Math.floor(entry?.contentRect.width ?? 0);
    if (width > 0 && width !== u.width) u.setSize({ width, height: heightOf(width) });
  }).observe(place);
  matchMedia(`(resolution: ${devicePixelRatio}dppx)`).addEventListener("change", redraw);
};
