export type Box = Readonly<{ left: number; top: number; width: number; height: number }>;

export type Anchor = Readonly<{ x: number; y: number }>;

/**
 * A label wants to stand by one of its anchors, the first if it can; `above` prefers the places over it, `inside` stands
 * right of one or nowhere: left of it lies what the label does not mean.
 */
export type WantedLabel = Readonly<{
  anchors: readonly Anchor[];
  width: number;
  height: number;
  above?: boolean;
  inside?: boolean;
}>;

/** `air` is added to both sides of the first. */
const overlap = (a: Box, b: Box, air = 0): number => {
  const width = Math.min(a.left + a.width + air, b.left + b.width) - Math.max(a.left - air, b.left);
  if (width <= 0) return 0;
  const height = Math.min(a.top + a.height, b.top + b.height) - Math.max(a.top, b.top);
  return height > 0 ? width * height : 0;
};

const outside = (box: Box, bounds: Box): number => box.width * box.height - overlap(box, bounds);

const gap = 10;

/** Two labels side by side need air between them to be two. */
const air = 5;

/** Right beside an anchor there is no doubt which mark a label means. */
const beside = ({ width, height, inside }: WantedLabel, { x, y }: Anchor): readonly Box[] =>
  [x + gap, ...(inside ? [] : [x - width - gap])].map((left) => ({
    left,
    top: y - height / 2,
    width,
    height,
  }));

const nearby = ({ width, height, above }: WantedLabel, { x, y }: Anchor): readonly Box[] => {
  const at = (left: number, top: number): Box => ({ left, top, width, height });
  const right = [0, -1, 1, -2, 2, -3, 3].map((k) => at(x + gap, y - height / 2 + k * height));
  const over = [at(x - width / 2, y - height - gap), at(x - width - gap / 2, y - height - gap)];
  const left = [0, -1, 1, -2, 2].map((k) => at(x - width - gap, y - height / 2 + k * height));
  const under = [at(x - width / 2, y + gap)];
  return above ? [...over, ...right, ...left, ...under] : [...right, ...over, ...left, ...under];
};

const mostAnchors = 24;

const candidates = (label: WantedLabel): readonly Box[] => {
  const [first] = label.anchors;
  if (!first) return [];
  const clear = label.above
    ? []
    : label.anchors.slice(0, mostAnchors).flatMap((anchor) => beside(label, anchor));
  return label.inside ? clear : [...clear, ...nearby(label, first)];
};

/**
 * Where each label goes, in the order given: the first of its places that leaves the bounds, the obstacles and the
 * labels before it alone, else the one that does least harm.
 */
export const labelPlaces = (
  wanted: readonly WantedLabel[],
  obstacles: readonly Box[],
  bounds: Box,
): readonly Box[] => {
  const placed: Box[] = [];
  for (const label of wanted) {
    let best: Box | undefined;
    let least = Infinity;
    for (const box of candidates(label)) {
      const cost = harmOf(box, placed, obstacles, bounds, least);
      if (cost < least) [best, least] = [box, cost];
      if (cost === 0) break;
    }
    if (best) placed.push(best);
  }
  return placed;
};

/** No further than to `enough`: a place that does as much harm is not taken anyway. */
const harmOf = (
  box: Box,
  placed: readonly Box[],
  obstacles: readonly Box[],
  bounds: Box,
  enough: number,
): number => {
  let harm = 4 * outside(box, bounds);
  for (const other of placed) harm += 3 * overlap(box, other, air);
  for (const other of obstacles) {
    if (harm >= enough) return harm;
    harm += overlap(box, other);
  }
  return harm;
};
