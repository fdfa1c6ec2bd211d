import { fittedCourse } from "../../bench/heat/heatCourse.ts";
import type { HeatRun } from "../../bench/heat/heatReading.ts";
import { readLimitC } from "../../bench/things/chip.ts";
import { asSetWords } from "../../bench/things/setting.ts";
import type { Line, LineChart } from "../../html/lineChart.ts";
import type { Layer } from "../../html/plot.ts";
import { hundredths, tracedLine } from "../kit/tracedLine.ts";
import { paths } from "../paths.ts";
import type { HeatShown } from "./shown.ts";

type Rule = NonNullable<LineChart["rules"]>[number];
type Zone = Extract<Layer, { as: "zone" }>;

/** The trace with the fit through it and past its end, the averaged window, and what held the chip back. */
export function heatChart(shown: HeatShown): LineChart {
  const { window, asked, run, attempt, tone, chip } = shown;
  const line = (channel: string, label: string, hue: Line["tone"]): readonly Line[] => {
    const series = window.series.find((one) => one.channel === channel);
    if (series === undefined) return [];
    const finer = { address: paths.traceWindow(attempt.id, channel), shift: 0 };
    return [{ label, tone: hue, finer, ...tracedLine(window.t, series, run?.gaps ?? []) }];
  };
  return {
    title: `Temperature over time in attempt ${asSetWords(attempt, chip ?? undefined)}`,
    x: { label: "time from the first row", unit: "min", per: 60 },
    y: { label: "temperature", unit: "°C" },
    lines: [
      ...line("ambient", "room", "quiet"),
      ...line(asked.channel, "measured", tone),
      ...(run ? fitLines(run, shown) : []),
    ],
    rules: run ? rulesOf(run, shown).filter(({ axis, at }) => axis === "y" || isInView(shown, at)) : [],
    zones: run ? zonesOf(run, tone) : [],
    edges: run ? edgesOf(run).filter(({ at }) => isInView(shown, at)) : [],
  };
}

const isInView = ({ view }: HeatShown, at: number): boolean =>
  at >= (view.fromS ?? Number.NEGATIVE_INFINITY) && at <= (view.toS ?? Number.POSITIVE_INFINITY);

/** Had it run on: a quarter as long again, and five minutes at least; no further than what is looked at. */
function fitLines(run: HeatRun, { view, tone }: HeatShown): readonly Line[] {
  const { load } = run;
  if (load === null) return [];
  const onS = load.toS + Math.max(300, 0.25 * (load.toS - load.fromS));
  const course = fittedCourse(run, { fromS: view.fromS ?? 0, toS: Math.min(onS, view.toS ?? onS) });
  if (course === null) return [];
  return [
    {
      label: "fitted",
      tone,
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

function rulesOf(run: HeatRun, { chip, tone }: HeatShown): readonly Rule[] {
  const limitC = chip ? readLimitC(chip) : null;
  const isNear = limitC !== null && run.peakC !== null && limitC - run.peakC < limitNearC;
  return [
    ...(isNear ? [{ as: "rule", tone: "warm", axis: "y", at: limitC, label: "limit" } as const] : []),
    ...(run.change
      ? [{ as: "rule", tone: "warm", axis: "x", at: run.change.atS, label: "changed" } as const]
      : []),
    ...(isTending(run)
      ? [{ as: "rule", tone, axis: "y", at: hundredths(run.final.c), label: "tends to" } as const]
      : []),
  ];
}

function zonesOf(run: HeatRun, own: Zone["tone"]): readonly Zone[] {
  const zone = (tone: Zone["tone"], from: number, to: number, label?: string): Zone => ({
    as: "zone",
    axis: "x",
    tone,
    from,
    to,
    ...(label === undefined ? {} : { label }),
  });
  return [
    ...(run.window ? [zone(own, run.window.fromS, run.window.toS)] : []),
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
