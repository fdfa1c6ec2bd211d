import type { HeatRooms } from "../../answers/heatReckoned.ts";
import type { HeatRun } from "../../bench/heat/heatReading.ts";
import type { Attempt } from "../../bench/things/attempt.ts";
import type { Line, LineChart } from "../../html/lineChart.ts";
import type { Tone } from "../../html/plot.ts";
import type { TraceWindow } from "../../store/traces/traceReading.ts";
import { paths } from "../paths.ts";
import { type Around, aroundOf } from "./shown.ts";
import { heatSoon } from "./soon.ts";
import { tracedLine } from "./tracedLine.ts";

export type OverlayAs = "temperature" | "rise";

/** One run of several laid over one another. */
export type OverlaidRun = Around &
  Readonly<{
    label: string;
    tone: Tone;
    dashed: boolean;
    run: HeatRun;
    idleC: number | null;
    window: TraceWindow;
  }>;

export const mostOverlaid = 6;
const columnsEach = 500;
const tones: readonly Tone[] = ["lead", "second", "third", "fourth"];

/** The runs asked for that have a temperature, each with what it says; and how many long ones are being read. */
export async function overlaidRuns(
  rooms: HeatRooms,
  attempts: readonly Attempt[],
): Promise<Readonly<{ overlaid: readonly OverlaidRun[]; awaited: number }>> {
  const { journal } = rooms;
  const summaries = await Promise.all(attempts.map((attempt) => heatSoon(rooms, attempt)));
  const found = attempts.flatMap((attempt, i) => {
    const summary = summaries[i] ?? null;
    const wanted = { channels: ["temperature", "ambient"], points: columnsEach };
    const window = summary === null ? undefined : journal.traces.window(attempt.id, wanted);
    if (summary === null || summary === "awaited" || window === undefined) return [];
    return [{ ...aroundOf(journal, attempt), ...summary, window }];
  });
  const labels = labelsOf(found);
  const overlaid = found.map((one, i) => ({
    ...one,
    label: labels[i] ?? "",
    tone: tones[i % tones.length] as Tone,
    dashed: i >= tones.length,
  }));
  return { overlaid, awaited: summaries.filter((summary) => summary === "awaited").length };
}

/** By build; where one build has several, by its setting as well, and at last by the day. */
function labelsOf(runs: readonly Around[]): readonly string[] {
  const short = runs.map(({ build }) => build?.name ?? "a build");
  const withClock = runs.map(({ attempt }, i) => `${short[i]}, ${attempt.clockMhz}`);
  const withDay = runs.map(
    ({ attempt }, i) => `${withClock[i]}, ${attempt.startedAt.slice(5, 16).replace("T", " ")}`,
  );
  const isAlone = (names: readonly string[], i: number) =>
    names.filter((name) => name === names[i]).length === 1;
  return runs.map((_, i) =>
    isAlone(short, i) ? (short[i] ?? "") : isAlone(withClock, i) ? (withClock[i] ?? "") : (withDay[i] ?? ""),
  );
}

/** Aligned where the load came on: idle stands before zero. A run with no known room has no rise to draw. */
export function overlayChart(runs: readonly OverlaidRun[], as: OverlayAs): LineChart {
  return {
    title: `${as === "rise" ? "Rise over the room" : "Temperature"} of ${runs.length} runs, from the load start`,
    x: { label: "time under load", unit: "s" },
    y: { label: as === "rise" ? "rise over the room" : "temperature", unit: "°C" },
    lines: runs.flatMap((one) => {
      const line = lineOf(one, as);
      return line === null ? [] : [line];
    }),
    rules: [{ as: "rule", axis: "x", tone: "quiet", at: 0, label: "load on" }],
  };
}

function lineOf({ window, run, label, tone, dashed, attempt }: OverlaidRun, as: OverlayAs): Line | null {
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
