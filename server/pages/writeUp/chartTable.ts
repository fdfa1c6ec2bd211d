import { column, type TableBlock, wordsColumn } from "../../bench/writeUp/block.ts";
import type { IntervalRow } from "../../html/intervalSvg.tsx";
import type { Layer, Plot } from "../../html/plot.ts";
import type { ChartDrawn } from "./charts.ts";

/** Everything a chart shows, as rows for a spreadsheet. */
export const chartTable = (name: string, chart: ChartDrawn): TableBlock =>
  chart.kind === "plot" ? plotTable(name, chart.plot) : intervalTable(name, chart.title, chart.rows);

const written = (value: number | null): string => (value === null ? "" : String(Number(value.toFixed(6))));

function plotTable(name: string, plot: Plot): TableBlock {
  const { x, y } = plot;
  const columns = [
    wordsColumn("Shown as"),
    wordsColumn("What"),
    column(x.label, x.unit),
    column(y.label, y.unit),
    column("low", y.unit),
    column("high", y.unit),
    wordsColumn("In words"),
  ];
  const { per = 1 } = x;
  const rows = plot.layers.flatMap((layer, i) => layerRows(layer, layer.label ?? labelBefore(plot, i), per));
  return { as: "table", name, caption: plot.title, columns, rows };
}

/** Marks without a label of their own belong to the line drawn before them. */
const labelBefore = ({ layers }: Plot, i: number): string =>
  layers
    .slice(0, i)
    .reverse()
    .find(({ label }) => label)?.label ?? "";

/** `per` of the numbers along x make one of the unit that heads them. */
function layerRows(layer: Layer, what: string, per: number): string[][] {
  const along = (x: number): string => written(x / per);
  switch (layer.as) {
    case "band":
      return layer.points.map(([x, low, high]) => {
        return ["band", layer.holds ?? "", along(x), "", written(low), written(high), ""];
      });
    case "line":
    case "steps":
      return layer.points.map(([x, y]) => [layer.as, what, along(x), written(y), "", "", ""]);
    case "marks":
      return layer.marks.map(({ x, y, words }) => {
        return ["mark", what, along(x), written(y), "", "", words ?? ""];
      });
    case "rule":
      return [
        [
          "rule",
          what,
          layer.axis === "x" ? along(layer.at) : "",
          written(layer.axis === "y" ? layer.at : null),
          "",
          "",
          "",
        ],
      ];
    case "zone":
      return [];
  }
}

function intervalTable(name: string, caption: string, rows: readonly IntervalRow[]): TableBlock {
  const columns = [
    wordsColumn("Measure"),
    wordsColumn("Unit"),
    column("Difference"),
    column("low"),
    column("high"),
    wordsColumn("Verdict"),
  ];
  const cells = rows.map(({ label, scale, value, low, high, verdict }) => {
    return [label, scale, written(value), written(low), written(high), verdict];
  });
  return { as: "table", name, caption, columns, rows: cells };
}
