/** What a line, a band or a mark means, not its colour: the style sheet says which ink that is. */
export type Tone = "lead" | "second" | "third" | "fourth" | "fault" | "warm" | "quiet" | "ink";

export type MarkShape = "dot" | "ring" | "half" | "cross" | "triangle" | "square" | "dash";

export type Point = readonly [x: number, y: number];
export type BandPoint = readonly [x: number, low: number, high: number];

/** A mark says in words what it is, and may lead somewhere. */
export type Mark = Readonly<{ x: number; y: number; words?: string; href?: string }>;

/** One thing drawn, in the order given: the first lies lowest. What a band `holds` is told where figures are, not drawn. */
export type Layer =
  | Readonly<{ as: "zone"; tone: Tone; axis: "x" | "y"; from: number; to: number; label?: string }>
  | Readonly<{ as: "band"; tone: Tone; points: readonly BandPoint[]; label?: string; holds?: string }>
  | Readonly<{ as: "line"; tone: Tone; points: readonly Point[]; dashed?: boolean; label?: string }>
  | Readonly<{ as: "steps"; tone: Tone; points: readonly Point[]; until: number; label?: string }>
  | Readonly<{ as: "marks"; tone: Tone; shape: MarkShape; marks: readonly Mark[]; label?: string }>
  | Readonly<{ as: "rule"; tone: Tone; axis: "x" | "y"; at: number; label?: string }>;

/** `per` of the numbers make one of the unit: 60 where seconds are told in minutes. */
export type Axis = Readonly<{ label: string; unit: string; decimals?: number; per?: number }>;

/** A chart as words and numbers; the server draws it as SVG, the page on a canvas, both with the same strokes. */
export type Plot = Readonly<{ title: string; x: Axis; y: Axis; layers: readonly Layer[] }>;

export type Extent = readonly [low: number, high: number];
type Reach = Readonly<{ x: readonly number[]; y: readonly number[] }>;

const along = (axis: "x" | "y", values: readonly number[]): Reach => ({
  x: axis === "x" ? values : [],
  y: axis === "y" ? values : [],
});

/** A zone reaches nothing: it fills what the rest needs. */
const reachOf = (layer: Layer): Reach => {
  switch (layer.as) {
    case "zone":
      return { x: [], y: [] };
    case "band":
      return { x: layer.points.map(([x]) => x), y: layer.points.flatMap(([, low, high]) => [low, high]) };
    case "line":
      return { x: layer.points.map(([x]) => x), y: layer.points.map(([, y]) => y) };
    case "steps":
      return { x: [...layer.points.map(([x]) => x), layer.until], y: layer.points.map(([, y]) => y) };
    case "marks":
      return { x: layer.marks.map(({ x }) => x), y: layer.marks.map(({ y }) => y) };
    case "rule":
      return along(layer.axis, [layer.at]);
  }
};

const padded = (values: readonly number[], share: number): Extent | undefined => {
  let [low, high] = [Infinity, -Infinity];
  for (const value of values) {
    if (value < low) low = value;
    if (value > high) high = value;
  }
  if (low > high) return undefined;
  const room = high > low ? (high - low) * share : Math.abs(high) * 0.05 || 1;
  return [low - room, high + room];
};

/** What both axes must span, with room for marks at the edge; undefined where nothing is drawn. */
export const extentsOf = (plot: Plot): Readonly<{ x: Extent; y: Extent }> | undefined => {
  const reaches = plot.layers.map(reachOf);
  const x = padded(
    reaches.flatMap((reach) => reach.x),
    0.05,
  );
  const y = padded(
    reaches.flatMap((reach) => reach.y),
    0.08,
  );
  return x && y ? { x, y } : undefined;
};
