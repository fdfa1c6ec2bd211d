import { type Anchor, type Box, labelPlaces, type WantedLabel } from "./labelPlaces.ts";
import type { Extent, Layer, MarkShape, Plot, Tone } from "./plot.ts";

/** The plotting area in pixels, what it spans, the room to its right, how wide a word is, and what others draw there. */
export type View = Readonly<{
  area: Box;
  gutter: number;
  x: Extent;
  y: Extent;
  widthOf: (words: string) => number;
  /** Drawn by somebody else; labels keep off it all the same. */
  keepOff?: readonly Layer[];
}>;

export type Stroke = Readonly<{
  path: string;
  tone: Tone;
  fill: "none" | "wash" | "full" | "paper";
  /** 0 draws no outline. */
  width: number;
  dashes?: readonly number[];
}>;
export type PlotWord = Readonly<{ words: string; x: number; y: number; tone: Tone }>;
export type Shapes = Readonly<{ strokes: readonly Stroke[]; words: readonly PlotWord[] }>;

const px = (value: number): number => Math.round(value * 10) / 10;

type Scale = Readonly<{ x: (value: number) => number; y: (value: number) => number }>;

const scaleOf = ({ area, x, y }: View): Scale => ({
  x: (value) => area.left + ((value - x[0]) / (x[1] - x[0])) * area.width,
  y: (value) => area.top + area.height - ((value - y[0]) / (y[1] - y[0])) * area.height,
});

const joined = (points: readonly (readonly [number, number])[]): string =>
  points.length === 0 ? "" : `M${points.map(([x, y]) => `${px(x)},${px(y)}`).join("L")}`;

const circle = (x: number, y: number, r: number): string =>
  `M${px(x - r)},${px(y)}a${r},${r} 0 1 0 ${2 * r},0a${r},${r} 0 1 0 ${-2 * r},0Z`;

const markPath: Readonly<Record<MarkShape, (x: number, y: number) => string>> = {
  dot: (x, y) => circle(x, y, 4.5),
  ring: (x, y) => circle(x, y, 5.5),
  half: (x, y) => `M${px(x - 4.5)},${px(y)}a4.5,4.5 0 0 1 9,0Z`,
  cross: (x, y) => `M${px(x - 4.5)},${px(y - 4.5)}l9,9m0,-9l-9,9`,
  triangle: (x, y) => `M${px(x)},${px(y - 5)}l5,9h-10Z`,
  square: (x, y) => `M${px(x - 4)},${px(y - 4)}h8v8h-8Z`,
  dash: (x, y) => `M${px(x - 5)},${px(y)}h10`,
};

const markFill: Readonly<Record<MarkShape, Stroke["fill"]>> = {
  dot: "full",
  ring: "none",
  half: "full",
  cross: "none",
  triangle: "paper",
  square: "full",
  dash: "none",
};

const stepsPath = (layer: Extract<Layer, { as: "steps" }>, { x, y }: Scale): string => {
  const [first, ...rest] = layer.points;
  if (!first) return "";
  const turns = rest.map(([px1, py1]) => `H${px(x(px1))}V${px(y(py1))}`).join("");
  return `M${px(x(first[0]))},${px(y(first[1]))}${turns}H${px(x(layer.until))}`;
};

const bandPath = (layer: Extract<Layer, { as: "band" }>, { x, y }: Scale): string => {
  const over = layer.points.map(([at, , high]) => [x(at), y(high)] as const);
  const under = layer.points.map(([at, low]) => [x(at), y(low)] as const).reverse();
  return over.length === 0 ? "" : `${joined([...over, ...under])}Z`;
};

const zonePath = ({ axis, from, to }: { axis: "x" | "y"; from: number; to: number }, view: View): string => {
  const { area } = view;
  const scale = scaleOf(view);
  const inside = (value: number, low: number, size: number) => Math.min(low + size, Math.max(low, value));
  if (axis === "x") {
    const [a, b] = [from, to].map((value) => inside(scale.x(value), area.left, area.width));
    return `M${px(a as number)},${px(area.top)}H${px(b as number)}V${px(area.top + area.height)}H${px(a as number)}Z`;
  }
  const [a, b] = [from, to].map((value) => inside(scale.y(value), area.top, area.height));
  return `M${px(area.left)},${px(a as number)}H${px(area.left + area.width)}V${px(b as number)}H${px(area.left)}Z`;
};

const rulePath = ({ axis, at }: { axis: "x" | "y"; at: number }, view: View): string => {
  const { area } = view;
  const scale = scaleOf(view);
  return axis === "x"
    ? `M${px(scale.x(at))},${px(area.top)}V${px(area.top + area.height)}`
    : `M${px(area.left)},${px(scale.y(at))}H${px(area.left + area.width)}`;
};

const strokeOf = (layer: Layer, view: View): Stroke => {
  const scale = scaleOf(view);
  const { tone } = layer;
  switch (layer.as) {
    case "zone":
      return { path: zonePath(layer, view), tone, fill: "wash", width: 0 };
    case "band":
      return { path: bandPath(layer, scale), tone, fill: "wash", width: 0 };
    case "line": {
      const path = joined(layer.points.map(([x, y]) => [scale.x(x), scale.y(y)] as const));
      return { path, tone, fill: "none", width: 1.75, ...(layer.dashed ? { dashes: [2, 4] } : {}) };
    }
    case "steps":
      return { path: stepsPath(layer, scale), tone, fill: "none", width: 3 };
    case "marks": {
      const path = layer.marks.map(({ x, y }) => markPath[layer.shape](scale.x(x), scale.y(y))).join("");
      return { path, tone, fill: markFill[layer.shape], width: layer.shape === "cross" ? 2 : 1.5 };
    }
    case "rule":
      return { path: rulePath(layer, view), tone, fill: "none", width: 1.5, dashes: [1, 3] };
  }
};

type Anchored = Pick<WantedLabel, "anchors" | "above" | "inside">;

/** Marks from the right, topmost first: that is where the reader's eye ends. */
const markAnchors = (marks: readonly Readonly<{ x: number; y: number }>[], scale: Scale): readonly Anchor[] =>
  marks.toSorted((a, b) => b.x - a.x || b.y - a.y).map(({ x, y }) => ({ x: scale.x(x), y: scale.y(y) }));

const anchorsOf = (layer: Layer, view: View): Anchored => {
  const scale = scaleOf(view);
  const { area } = view;
  const at = (point: readonly [number, number] | undefined): Anchored => ({
    anchors: point ? [{ x: scale.x(point[0]), y: scale.y(point[1]) }] : [],
  });
  switch (layer.as) {
    case "zone": {
      if (layer.axis === "y")
        return { anchors: [{ x: area.left, y: Math.max(area.top + 9, scale.y(layer.to) + 9) }] };
      const x = scale.x(Math.max(layer.from, view.x[0]));
      const heights = Math.floor((area.height - lineHeight) / lineHeight);
      const anchors = Array.from({ length: heights }, (_, i) => ({ x, y: area.top + 9 + i * lineHeight }));
      return { anchors, inside: true };
    }
    case "band": {
      const last = layer.points.at(-1);
      return at(last && [last[0], last[2]]);
    }
    case "line":
      return at(layer.points.at(-1));
    case "steps": {
      const last = layer.points.at(-1);
      return at(last && [layer.until, last[1]]);
    }
    case "marks":
      return { anchors: markAnchors(layer.marks, scale) };
    case "rule":
      return layer.axis === "x"
        ? { anchors: [{ x: scale.x(layer.at), y: area.top + 9 }] }
        : { anchors: [{ x: area.left + area.width, y: scale.y(layer.at) }], above: true };
  }
};

const narrowest = 560;
const usualGutter = 148;

/** The room beside a drawing: what its longest label takes. A narrow one has none: the key under it names things instead. */
export function gutterOf(plot: Plot, width: number, widthOf: View["widthOf"]): number {
  if (width <= narrowest) return 8;
  const beside = plot.layers.filter(
    (layer) => layer.as !== "zone" && !(layer.as === "rule" && layer.axis === "x"),
  );
  const longest = beside.reduce((most, { label = "" }) => Math.max(most, widthOf(label)), 0);
  return Math.round(Math.min(0.3 * width, Math.max(usualGutter, longest + 24)));
}

const lineHeight = 17;
/** With less room than this beside the drawing its labels would lie on it: the key under it names things instead. */
const leastGutter = 40;
const around = (x: number, y: number, r: number): Box => ({
  left: x - r,
  top: y - r,
  width: 2 * r,
  height: 2 * r,
});

const apart = 14;

/** Small boxes along a stretch, near enough together that no label fits between two. */
const along = (from: readonly [number, number], to: readonly [number, number]): readonly Box[] => {
  const pieces = Math.min(80, Math.max(1, Math.ceil(Math.hypot(to[0] - from[0], to[1] - from[1]) / apart)));
  return Array.from({ length: pieces + 1 }, (_, i) => {
    const share = i / pieces;
    return around(from[0] + (to[0] - from[0]) * share, from[1] + (to[1] - from[1]) * share, 3);
  });
};

/** The corners a line, a rule or a staircase passes through, thinned where there are very many. */
const cornersOf = (layer: Layer, view: View): readonly (readonly [number, number])[] => {
  const { x, y } = scaleOf(view);
  if (layer.as === "line") {
    const { length } = layer.points;
    const every = Math.max(1, Math.ceil(length / 60));
    return layer.points
      .filter((_, i) => i % every === 0 || i === length - 1)
      .map(([px1, py1]) => [x(px1), y(py1)] as const);
  }
  if (layer.as === "rule") {
    const { left, top, width, height } = view.area;
    return layer.axis === "x"
      ? [[x(layer.at), top] as const, [x(layer.at), top + height] as const]
      : [[left, y(layer.at)] as const, [left + width, y(layer.at)] as const];
  }
  if (layer.as !== "steps") return [];
  const ends = [...layer.points.slice(1).map(([at]) => at), layer.until];
  return layer.points.flatMap(([at, height], i) => [
    [x(at), y(height)] as const,
    [x(ends[i] ?? at), y(height)] as const,
  ]);
};

/** What a label must not lie on: marks, and everything along the lines. */
const obstaclesOf = (layer: Layer, view: View): readonly Box[] => {
  const scale = scaleOf(view);
  if (layer.as === "marks") return layer.marks.map(({ x, y }) => around(scale.x(x), scale.y(y), 6));
  const corners = cornersOf(layer, view);
  return corners.slice(1).flatMap((corner, i) => along(corners[i] ?? corner, corner));
};

type Labelled = Readonly<{ words: string; tone: Tone; anchored: Anchored; isLine: boolean }>;

/** Lines that end close together are named in the order in which they lie. */
const topmostFirst = (labelled: readonly Labelled[]): readonly Labelled[] => {
  const height = ({ anchored }: Labelled): number => anchored.anchors[0]?.y ?? 0;
  const lines = labelled.filter(({ isLine }) => isLine).sort((a, b) => height(a) - height(b));
  return labelled.map((label) => (label.isLine ? (lines.shift() ?? label) : label));
};

const wordsOf = (plot: Plot, view: View): readonly PlotWord[] => {
  if (view.gutter < leastGutter) return [];
  const labelled = plot.layers.flatMap((layer) => {
    const anchored = anchorsOf(layer, view);
    return layer.label && anchored.anchors.length > 0
      ? [{ words: layer.label, tone: layer.tone, anchored, isLine: layer.as === "line" }]
      : [];
  });
  const inOrder = topmostFirst(labelled);
  const wanted: readonly WantedLabel[] = inOrder.map(({ words, anchored }) => ({
    ...anchored,
    width: view.widthOf(words),
    height: lineHeight,
  }));
  const { area } = view;
  const bounds = { ...area, width: area.width + view.gutter };
  const places = labelPlaces(
    wanted,
    [...plot.layers, ...(view.keepOff ?? [])].flatMap((layer) => obstaclesOf(layer, view)),
    bounds,
  );
  return inOrder.map(({ words, tone }, i) => {
    const place = places[i] as Box;
    return { words, tone, x: place.left, y: place.top + lineHeight / 2 };
  });
};

/** A swatch of the layer, as it would look in a box of 18 by 14. */
export const swatchOf = (layer: Layer): Stroke => {
  const { tone } = layer;
  if (layer.as === "marks")
    return { path: markPath[layer.shape](9, 7), tone, fill: markFill[layer.shape], width: 1.75 };
  if (layer.as === "band" || layer.as === "zone")
    return { path: "M0,1H18V13H0Z", tone, fill: "wash", width: 0 };
  const isDotted = layer.as === "rule" || (layer.as === "line" && layer.dashed === true);
  const width = layer.as === "steps" ? 3 : 1.75;
  return { path: "M0,7H18", tone, fill: "none", width, ...(isDotted ? { dashes: [2, 3] } : {}) };
};

/** Every stroke and word of the plot in this view, lowest first. Words stand left-aligned, centred on their y. */
export const plotShapes = (plot: Plot, view: View): Shapes => ({
  strokes: plot.layers.map((layer) => strokeOf(layer, view)).filter(({ path }) => path !== ""),
  words: wordsOf(plot, view),
});
