import type { HeatRun } from "../../bench/heat/heatReading.ts";
import type { Line, LineChart } from "../../html/lineChart.ts";
import type { Tone } from "../../html/plot.ts";
import type { TraceWindow } from "../../store/traces/traceWindows.ts";
import { paths } from "../paths.ts";
import { tracedLine } from "./tracedLine.ts";

export type OverlayAs = "temperature" | "rise";

/** One heat run as a line among others. */
export type OverlaidLine = Readonly<{
  attempt: Readonly<{ id: string }>;
  label: string;
  tone: Tone;
  dashed: boolean;
  run: HeatRun;
  window: TraceWindow;
}>;

/** Aligned where the load came on: idle stands before zero. A run with no known room has no rise to draw. */
export function overlayChart(runs: readonly OverlaidLine[], as: OverlayAs): LineChart {
  return {
    title: `${as === "rise" ? "Rise over the room" : "Temperature"} of ${runs.length} runs, from the load start`,
    x: { label: "time under load", unit: "min", per: 60 },
    y: { label: as === "rise" ? "rise over the room" : "temperature", unit: "°C" },
    lines: runs.flatMap((one) => {
      const line = lineOf(one, as);
      return line === null ? [] : [line];
    }),
    rules: [{ as: "rule", axis: "x", tone: "quiet", at: 0, label: "load on" }],
  };
}

function lineOf({ window, run, label, tone, dashed, attempt }: OverlaidLine, as: OverlayAs): Line | null {
  const measured = window.series.find(({ channel }) => channel === "temperature");
  if (!measured) return null;
  const room = window.series.find(({ channel }) => channel === "ambient")?.mean;
  if (as === "rise" && room === undefined && run.ambientC === null) return null;
  const startS = run.load?.fromS ?? 0;
  // What follows the load says nothing of it, and would drag the lines' ends down.
  const shownColumns = window.t.filter((at) => at <= (run.load?.toS ?? Number.POSITIVE_INFINITY)).length;
  const drawn = (values: Float64Array): Float64Array =>
    (as === "temperature"
      ? values
      : values.map((value, i) => value - (room?.[i] ?? run.ambientC ?? Number.NaN))
    ).subarray(0, shownColumns);
  const series = { mean: drawn(measured.mean), min: drawn(measured.min), max: drawn(measured.max) };
  return {
    label,
    tone,
    dashed,
    ...tracedLine(window.t.subarray(0, shownColumns), series, run.gaps, startS),
    // A rise is made of two channels, which no window gives.
    ...(as === "temperature"
      ? { finer: { address: paths.traceWindow(attempt.id, "temperature"), shift: startS } }
      : {}),
  };
}
