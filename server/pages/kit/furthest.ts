import type { FrontierPoint } from "../../bench/frontier/frontierPoint.ts";

export type HeldPoint = FrontierPoint & Readonly<{ heldMhz: number }>;

/** Where a build goes furthest: the highest held clock, at the lowest voltage that holds it. */
export const furthest = (points: readonly FrontierPoint[]): HeldPoint | undefined =>
  points
    .filter((point): point is HeldPoint => point.heldMhz !== null)
    .reduce<HeldPoint | undefined>(
      (best, point) => (best === undefined || point.heldMhz > best.heldMhz ? point : best),
      undefined,
    );
