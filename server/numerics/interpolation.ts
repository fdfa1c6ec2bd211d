/**
 * The value at x on the straight lines between the points, which ascend in x; undefined outside them or without any.
 * Exact but for rounding. Cost: logarithmic.
 */
export function interpolated(
  points: readonly (readonly [x: number, y: number])[],
  x: number,
): number | undefined {
  const [first, last] = [points[0], points.at(-1)];
  if (first === undefined || last === undefined || !(x >= first[0] && x <= last[0])) return undefined;
  let [low, high] = [0, points.length - 1];
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (points[middle]![0] <= x) low = middle;
    else high = middle;
  }
  const [[x0, y0], [x1, y1]] = [points[low]!, points[high]!];
  return x1 === x0 ? y0 : y0 + ((x - x0) / (x1 - x0)) * (y1 - y0);
}
