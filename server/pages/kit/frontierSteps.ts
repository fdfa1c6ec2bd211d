import type { FrontierPoint } from "../../bench/frontier/frontierPoint.ts";
import { formatMilli, formatNumber } from "../../html/format.ts";
import type { Layer, Point, Tone } from "../../html/plot.ts";
import { paths } from "../paths.ts";
import type { Look } from "./buildLooks.ts";

/** How far the last step reaches past its voltage: as far as voltages usually lie apart. */
export const reachMv = (points: readonly FrontierPoint[]): number => {
  const [first, last] = [points[0], points.at(-1)];
  return first && last && points.length > 1
    ? (last.voltageMv - first.voltageMv) / (points.length - 1) / 2
    : 25;
};

/** The frontier as steps, one for each stretch of voltages over which something is known to hold. */
export const stepsLayers = (
  points: readonly FrontierPoint[],
  tone: Tone,
  label: string,
): readonly Layer[] => {
  const known = points.flatMap(({ voltageMv, impliedMhz }): Point[] =>
    impliedMhz === null ? [] : [[voltageMv / 1000, impliedMhz]],
  );
  const last = known.at(-1);
  return last === undefined
    ? []
    : [{ as: "steps", tone, points: known, until: last[0] + reachMv(points) / 1000, label }];
};

/** What a build holds at each voltage, each mark leading to the attempts there. */
export const heldMarks = (
  points: readonly FrontierPoint[],
  { tone, shape }: Look,
  { id, name, clockUnit = "MHz" }: Readonly<{ id: string; name: string; clockUnit?: string | undefined }>,
): Layer => ({
  as: "marks",
  tone,
  shape,
  marks: points.flatMap(({ heldMhz, voltageMv }) =>
    heldMhz === null
      ? []
      : [
          {
            x: voltageMv / 1000,
            y: heldMhz,
            words: `${name} held ${formatNumber(heldMhz)} ${clockUnit} at ${formatMilli(voltageMv)} V`,
            href: paths.attempts(id, { clockMhz: heldMhz, voltageMv }),
          },
        ],
  ),
});
