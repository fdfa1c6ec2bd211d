import { fittedCourse } from "../../bench/heatCourse.ts";
import type { HeatRun } from "../../bench/heatReading.ts";
import type { Line, LineChart } from "../../html/lineChart.ts";
import type { Layer } from "../../html/plot.ts";
import type { TraceSeries } from "../../store/traceReading.ts";
import type { HeatShown } from "./shown.ts";

const hundredths = (value: number): number => Math.round(value * 100) / 100;
export const known = (values: Float64Array): (number | null)[] =>
  Array.from(values, (value) => (Number.isFinite(value) ? hundredths(value) : null));

type Rule = NonNullable<LineChart["rules"]>[number];
type Zone = Extract<Layer, { as: "zone" }>;

/** The trace with the fit through it and past its end, the averaged window, and what held the chip back. */
export function heatChart(shown: HeatShown): LineChart {
  const { window, asked, read, attempt } = shown;
  const breaks = (read?.run.gaps ?? []).map(({ fromS, toS }) => (fromS + toS) / 2);
  const { t, places } = brokenAt(breaks, Array.from(window.t, hundredths));
  const values = (column: Float64Array) => {
    const whole = known(column);
    return places.map((place) => (place === null ? null : (whole[place] ?? null)));
  };
  const line = (series: TraceSeries, label: string, tone: Line["tone"]): Line => ({
    label,
    tone,
    x: t,
    mean: values(series.mean),
    min: values(series.min),
    max: values(series.max),
  });
  const [measured, room] = [asked.channel, "ambient"].map((name) =>
    window.series.find(({ channel }) => channel === name),
  );
  return {
    title: `Temperature over time in attempt ${attempt.clockMhz} MHz at ${attempt.voltageMv / 1000} V`,
    x: { label: "time from the first row", unit: "s" },
    y: { label: "temperature", unit: "°C" },
    lines: [
      ...(room ? [line(room, "room", "quiet")] : []),
      ...(measured ? [line(measured, "measured", "lead")] : []),
      ...(read ? fitLines(read.run) : []),
    ],
    rules: read ? rulesOf(read.run, shown) : [],
    zones: read ? zonesOf(read.run) : [],
    edges: read ? edgesOf(read.run) : [],
  };
}

/** A row without a value in the middle of each gap, so that no line is drawn across it. */
function brokenAt(breaks: readonly number[], t: readonly number[]) {
  const rows: { at: number; place: number | null }[] = t.map((at, place) => ({ at, place }));
  for (const at of breaks) rows.push({ at: hundredths(at), place: null });
  rows.sort((a, b) => a.at - b.at);
  return { t: rows.map(({ at }) => at), places: rows.map(({ place }) => place) };
}

/** Had it run on: a quarter as long again, and five minutes at least. */
function fitLines(run: HeatRun): readonly Line[] {
  const { load } = run;
  if (load === null) return [];
  const course = fittedCourse(run, load.toS + Math.max(300, 0.25 * (load.toS - load.fromS)));
  if (course === null) return [];
  return [
    {
      label: "fitted",
      tone: "third",
      dashed: true,
      x: course.t.map(hundredths),
      mean: course.c.map(hundredths),
    },
  ];
}

const limitNearC = 25;

/** Where it tends is drawn where the level does not say it already. */
const isTending = (run: HeatRun): run is HeatRun & { final: NonNullable<HeatRun["final"]> } =>
  run.final !== null && Math.abs(run.final.c - (run.level?.meanC ?? Number.NaN)) > 1;

function rulesOf(run: HeatRun, { chip }: HeatShown): readonly Rule[] {
  const limitC = chip?.tempLimitC ?? null;
  const isNear = limitC !== null && run.peakC !== null && limitC - run.peakC < limitNearC;
  return [
    ...(isNear ? [{ as: "rule", tone: "warm", axis: "y", at: limitC, label: "limit" } as const] : []),
    ...(isTending(run)
      ? [{ as: "rule", tone: "third", axis: "y", at: hundredths(run.final.c), label: "tends to" } as const]
      : []),
  ];
}

function zonesOf(run: HeatRun): readonly Zone[] {
  const zone = (tone: Zone["tone"], from: number, to: number, label?: string): Zone => ({
    as: "zone",
    axis: "x",
    tone,
    from,
    to,
    ...(label === undefined ? {} : { label }),
  });
  return [
    ...(run.window ? [zone("lead", run.window.fromS, run.window.toS)] : []),
    ...run.throttled.map(({ fromS, toS }, i) => zone("fault", fromS, toS, i === 0 ? "held back" : undefined)),
    ...run.gaps.map(({ fromS, toS }, i) => zone("quiet", fromS, toS, i === 0 ? "no readings" : undefined)),
  ];
}

/** Bound to the fields of the form under the chart. */
function edgesOf({ load, window }: HeatRun): NonNullable<LineChart["edges"]> {
  if (load === null) return [];
  return [
    { at: Math.round(load.fromS), label: "load start", field: "field-loadStartS" },
    ...(window
      ? [
          { at: Math.round(window.fromS), label: "average from", field: "field-fromS" },
          { at: Math.round(window.toS), label: "to", field: "field-toS" },
        ]
      : []),
  ];
}
