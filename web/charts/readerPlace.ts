import type uPlot from "uplot";
import type { Extent } from "../../server/html/plot.ts";

/** How close a reader looks at a chart, and where on it they point. */
export type ReaderPlace = { closer?: Extent | undefined; at?: readonly [x: number, y: number] | undefined };

const places = new Map<string, ReaderPlace>();

/** One for each chart of the page: what takes a chart's place goes on from it. */
export const readerPlaceOn = ({ dataset }: HTMLElement): ReaderPlace => {
  const chart = `${location.pathname} ${dataset.chartName}`;
  const place = places.get(chart) ?? {};
  places.set(chart, place);
  return place;
};

/** Reads out again what the reader pointed at, once the chart stands: the library lays it out a moment after it is made. */
export const pointAgain = (u: uPlot, { at }: ReaderPlace, read: (x: number, y: number) => void): void => {
  if (at === undefined) return;
  queueMicrotask(() => {
    const [x, y] = at;
    u.setCursor({ left: u.valToPos(x, "x"), top: Math.max(0, u.valToPos(y, "y")) }, false);
    read(x, y);
  });
};
