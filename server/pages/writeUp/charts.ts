import type { AccountAnswer } from "../../answers/accountOf.ts";
import { differenceRows } from "../../bench/comparison/intervalRows.ts";
import type { FrontierPoint } from "../../bench/frontier/frontierPoint.ts";
import { workloadName } from "../../bench/writeUp/account.ts";
import type { IntervalRow } from "../../html/intervalSvg.tsx";
import type { Layer, MarkShape, Plot, Tone } from "../../html/plot.ts";
import { stepsLayers } from "../kit/frontierSteps.ts";
import { limitPlot } from "../kit/limitPlot.ts";

/** A chart of the account by name, as words and numbers: whoever shows it draws it. */
export type ChartDrawn =
  | Readonly<{ kind: "plot"; plot: Plot }>
  | Readonly<{ kind: "intervals"; title: string; rows: readonly IntervalRow[]; nothing: string }>;

export function chartsOf(answer: AccountAnswer): ReadonlyMap<string, ChartDrawn> {
  const { account } = answer;
  const charts = new Map<string, ChartDrawn>();
  account.builds.forEach((_, i) => {
    charts.set(`limit-${i + 1}`, { kind: "plot", plot: limitPlotOf(answer, i) });
  });
  charts.set("frontiers", { kind: "plot", plot: frontiersPlot(answer) });
  account.comparisons.forEach(({ aName, bName, comparison }, i) => {
    const rows = differenceRows(comparison, (id) => workloadName(account, id));
    const title = `Differences, ${bName} less ${aName}, with their 95 % intervals`;
    charts.set(`differences-${i + 1}`, { kind: "intervals", title, rows, nothing: "no difference" });
  });
  return charts;
}

function limitPlotOf({ account, drawn }: AccountAnswer, i: number): Plot {
  const { build, points } = account.builds[i]!;
  const { trials, ceilingMv, limit } = drawn[i]!;
  return limitPlot({ buildId: build.id, name: build.name, trials, points, ceilingMv, limit });
}

/** Told apart by shape as well as hue. */
const looks: readonly (readonly [Tone, MarkShape])[] = [
  ["lead", "dot"],
  ["second", "square"],
  ["third", "triangle"],
  ["fourth", "ring"],
  ["fault", "cross"],
  ["ink", "dash"],
];

const frontiersPlot = ({ account }: AccountAnswer): Plot => ({
  title: `Clock held over core voltage: ${account.builds.map(({ build }) => build.name).join(", ")}`,
  x: { label: "core voltage set", unit: "V" },
  y: { label: "clock held", unit: "MHz" },
  layers: account.builds.flatMap(({ build, points }, i): readonly Layer[] => {
    const [tone, shape] = looks[i % looks.length]!;
    return [...stepsLayers(points, tone, build.name), heldMarks(points, tone, shape)];
  }),
});

/** Where less was proved than a lower voltage already holds, the line alone says so. */
const heldMarks = (points: readonly FrontierPoint[], tone: Tone, shape: MarkShape): Layer => ({
  as: "marks",
  tone,
  shape,
  marks: points.flatMap(({ voltageMv, heldMhz, impliedMhz }) =>
    heldMhz === null || heldMhz < (impliedMhz ?? heldMhz) ? [] : [{ x: voltageMv / 1000, y: heldMhz }],
  ),
});
