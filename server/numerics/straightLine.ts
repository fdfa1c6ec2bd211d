import { studentQuantile } from "./distributions.ts";

export type StraightLine = Readonly<{
  intercept: number;
  slope: number;
  /** Standard errors; undefined with two points, which leave nothing over. */
  interceptError: number | undefined;
  slopeError: number | undefined;
  residualDeviation: number | undefined;
  degreesOfFreedom: number;
}>;

/**
 * The least-squares line through the points; undefined for fewer than two different x.
 * Method: centred sums, so that a large offset costs no digits. Source: textbook; checked on the NIST set Norris.
 */
export function straightLine(points: readonly (readonly [x: number, y: number])[]): StraightLine | undefined {
  const n = points.length;
  const meanX = points.reduce((sum, [x]) => sum + x, 0) / n;
  const meanY = points.reduce((sum, [, y]) => sum + y, 0) / n;
  const spread = points.reduce((sum, [x]) => sum + (x - meanX) ** 2, 0);
  if (n < 2 || !(spread > 0)) return undefined;
  const slope = points.reduce((sum, [x, y]) => sum + (x - meanX) * (y - meanY), 0) / spread;
  const intercept = meanY - slope * meanX;
  const line = { intercept, slope, degreesOfFreedom: n - 2 };
  if (n === 2)
    return { ...line, interceptError: undefined, slopeError: undefined, residualDeviation: undefined };
  const squares = points.reduce((sum, [x, y]) => sum + (y - meanY - slope * (x - meanX)) ** 2, 0);
  const residualDeviation = Math.sqrt(squares / (n - 2));
  return {
    ...line,
    residualDeviation,
    slopeError: residualDeviation / Math.sqrt(spread),
    interceptError: residualDeviation * Math.sqrt(1 / n + meanX ** 2 / spread),
  };
}

/** The two-sided 95 % half-width of a coefficient with this standard error, by Student's t to 1e-9; undefined where there is none. */
export function halfWidth95(error: number | undefined, degreesOfFreedom: number): number | undefined {
  const factor = studentQuantile(0.975, degreesOfFreedom);
  return error === undefined || factor === undefined ? undefined : error * factor;
}
