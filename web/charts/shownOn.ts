import type { Extent, Plot } from "../../server/html/plot.ts";

type Shown = Readonly<{ plot: Plot; x: Extent }>;

const closer = new WeakMap<Element, () => Shown>();

/** What a drawing shows, as a plot, for whoever keeps it as a picture. */
export const showsOn = (drawing: Element, shown: () => Shown): void => {
  closer.set(drawing, shown);
};

/** Undefined where all of it is shown. */
export const closerOn = (drawing: Element): Shown | undefined =>
  drawing.classList.contains("closer") ? closer.get(drawing)?.() : undefined;
