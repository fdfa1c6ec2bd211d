import type { AccountAnswer } from "../../answers/accountOf.ts";
import { differenceRows } from "../../bench/comparison/intervalRows.ts";
import type { FrontierPoint } from "../../bench/frontier/frontierPoint.ts";
import type { Build } from "../../bench/things/build.ts";
import { type AccountedHeat, workloadName } from "../../bench/writeUp/account.ts";
import type { IntervalRow } from "../../html/intervalSvg.tsx";
import { plotOfLines } from "../../html/lineChart.ts";
import type { Layer, Plot } from "../../html/plot.ts";
import { type Look, linesOfRuns, lookOf, looksApart } from "../kit/buildLooks.ts";
import { stepsLayers } from "../kit/frontierSteps.ts";
import { overlayChart } from "../kit/heatOverlay.ts";
import { limitPlot } from "../kit/limitPlot.ts";

/** A chart of the account by name, as words and numbers: whoever shows it draws it. */
export type ChartDrawn =
  | Readonly<{ kind: "plot"; plot: Plot }>
  | Readonly<{ kind: "intervals"; title: string; rows: readonly IntervalRow[]; nothing: string }>;

/** `builds` are all of the journal: among them each has its look. */
export function chartsOf(answer: AccountAnswer, builds: readonly Build[]): ReadonlyMap<string, ChartDrawn> {
  const { account } = answer;
  const charts = new Map<string, ChartDrawn>();
  account.builds.forEach((_, i) => {
    charts.set(`limit-${i + 1}`, { kind: "plot", plot: limitPlotOf(answer, i, builds) });
  });
  if (account.heat !== null)
    charts.set("heat", { kind: "plot", plot: heatPlot(answer, account.heat, builds) });
  charts.set("frontiers", { kind: "plot", plot: frontiersPlot(answer, builds) });
  account.comparisons.forEach(({ aName, bName, comparison }, i) => {
    const rows = differenceRows(comparison, (id) => workloadName(account, id));
    const title = `Differences, ${bName} less ${aName}, with their 95 % intervals`;
    charts.set(`differences-${i + 1}`, { kind: "intervals", title, rows, nothing: "no difference" });
  });
  return charts;
}

function limitPlotOf({ account, drawn }: AccountAnswer, i: number, builds: readonly Build[]): Plot {
  const { build, chip, points } = account.builds[i]!;
  const { trials, ceilingMv, limit } = drawn[i]!;
  return limitPlot({
    buildId: build.id,
    name: build.name,
    tone: lookOf(builds, build.id).tone,
    trials,
    points,
    ceilingMv,
    limit,
    clockUnit: chip.clockUnit,
  });
}

function heatPlot({ heat }: AccountAnswer, { asRise, runs }: AccountedHeat, builds: readonly Build[]): Plot {
  const lines = linesOfRuns(
    builds,
    heat.map(({ attempt }) => attempt.buildId),
  );
  return plotOfLines(
    overlayChart(
      heat.map((curve, i) => ({ ...curve, ...lines[i]!, label: runs[i]!.buildName })),
      asRise ? "rise" : "temperature",
    ),
  );
}

function frontiersPlot({ account }: AccountAnswer, builds: readonly Build[]): Plot {
  const drawn = looksApart(
    builds,
    account.builds.map(({ build }) => build.id),
  );
  return {
    title: `Clock held over voltage: ${account.builds.map(({ build }) => build.name).join(", ")}`,
    x: { label: "voltage set", unit: "V" },
    y: { label: "clock held", unit: account.builds[0]?.chip.clockUnit ?? "MHz" },
    layers: account.builds.flatMap(({ build, points }, i): readonly Layer[] => [
      ...stepsLayers(points, drawn[i]!.tone, build.name),
      heldMarks(points, drawn[i]!),
    ]),
  };
}

/** Where less was proved than a lower voltage already holds, the line alone says so. */
const heldMarks = (points: readonly FrontierPoint[], { tone, shape }: Look): Layer => ({
  as: "marks",
  tone,
  shape,
  marks: points.flatMap(({ voltageMv, heldMhz, impliedMhz }) =>
    heldMhz === null || heldMhz < (impliedMhz ?? heldMhz) ? [] : [{ x: voltageMv / 1000, y: heldMhz }],
  ),
});
