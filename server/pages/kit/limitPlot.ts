import type { Trial } from "../../bench/frontier/evidence.ts";
import type { FrontierPoint } from "../../bench/frontier/frontierPoint.ts";
import type { LimitAnswer } from "../../bench/limit/limitCurve.ts";
import type { Chip } from "../../bench/things/chip.ts";
import type { OutcomeClass } from "../../bench/things/outcome.ts";
import { formatCount, formatDuration } from "../../html/format.ts";
import type { BandPoint, Layer, Mark, MarkShape, Plot, Point, Tone } from "../../html/plot.ts";
import { paths } from "../paths.ts";
import { reachMv, stepsLayers } from "./frontierSteps.ts";
import { settingWords } from "./settingWords.tsx";

export type LimitPlotted = Readonly<{
  buildId: string;
  name: string;
  /** The build's own hue. */
  tone: Tone;
  trials: readonly Trial[];
  points: readonly FrontierPoint[];
  ceilingMv: number | null;
  clockUnit?: Chip["clockUnit"];
  /** The fitted limit, where there is one. */
  limit: LimitAnswer | null;
}>;

type Kind = "pass" | "contested" | "stopped" | "crash" | "thermal";
type Drawn = Readonly<{ kind: Kind; shape: MarkShape; tone: Tone | "own"; label: string; verb: string }>;

/** Marks that differ in shape as well as hue; drawn in this order, so that a crash is never hidden under a pass. */
const drawn: readonly Drawn[] = [
  {
    kind: "stopped",
    shape: "half",
    tone: "quiet",
    label: "stopped, no fault",
    verb: "stopped without a fault",
  },
  { kind: "pass", shape: "dot", tone: "own", label: "passed", verb: "passed" },
  { kind: "contested", shape: "ring", tone: "own", label: "contested", verb: "passed, contested" },
  { kind: "thermal", shape: "triangle", tone: "warm", label: "too hot", verb: "too hot" },
  { kind: "crash", shape: "cross", tone: "fault", label: "crashed", verb: "crashed" },
];

const kindOf = (trial: Trial, contested: ReadonlySet<string>): Kind | undefined => {
  const kinds: Readonly<Record<OutcomeClass, Kind | undefined>> = {
    pass: contested.has(trial.row.id) ? "contested" : "pass",
    stopped: "stopped",
    crash: "crash",
    thermal: "thermal",
    running: undefined,
    nothing: undefined,
  };
  return kinds[trial.class];
};

type Heap = { clockMhz: number; voltageMv: number; times: number; longestS: number };

/** A thousand passes at one setting are one mark that says so. */
function heapsOf(
  trials: readonly Trial[],
  contested: ReadonlySet<string>,
): ReadonlyMap<Kind, readonly Heap[]> {
  const heaps = new Map<Kind, Map<string, Heap>>();
  for (const trial of trials) {
    const kind = kindOf(trial, contested);
    const { clockMhz, voltageMv, row } = trial;
    if (kind === undefined || clockMhz === null) continue;
    const ofKind = heaps.get(kind) ?? new Map<string, Heap>();
    const at = `${voltageMv} ${clockMhz}`;
    const heap = ofKind.get(at) ?? { clockMhz, voltageMv, times: 0, longestS: 0 };
    heap.times += 1;
    heap.longestS = Math.max(heap.longestS, row.durationS);
    heaps.set(kind, ofKind.set(at, heap));
  }
  return new Map([...heaps].map(([kind, ofKind]) => [kind, [...ofKind.values()]]));
}

const markOf = (heap: Heap, verb: string, { buildId, clockUnit = "MHz" }: LimitPlotted): Mark => {
  const { clockMhz, voltageMv, times, longestS } = heap;
  const often =
    times === 1
      ? formatDuration(longestS)
      : `${formatCount(times, "time")}, longest ${formatDuration(longestS)}`;
  return {
    x: voltageMv / 1000,
    y: clockMhz,
    words: `${settingWords(heap, { clockUnit, offset: null })}: ${verb}, ${often}`,
    href: paths.attempts(buildId, { clockMhz, voltageMv }),
  };
};

const marksLayers = (plotted: LimitPlotted): readonly Layer[] => {
  const { trials, points, tone: own } = plotted;
  const heaps = heapsOf(trials, new Set(points.flatMap((point) => point.contested)));
  return drawn.flatMap(({ kind, shape, tone, label, verb }) => {
    const found = heaps.get(kind) ?? [];
    return found.length === 0
      ? []
      : [
          {
            as: "marks" as const,
            shape,
            tone: tone === "own" ? own : tone,
            label,
            marks: found.map((heap) => markOf(heap, verb, plotted)),
          },
        ];
  });
};

const heatZone = (points: readonly FrontierPoint[]): readonly Layer[] => {
  const from = points.find(({ margin }) => margin === "tight" || margin === "over");
  if (!from) return [];
  const over = points.some(({ margin }) => margin === "over");
  const half = reachMv(points) / 1000;
  return [
    {
      as: "zone",
      tone: "warm",
      axis: "x",
      from: from.voltageMv / 1000 - half / 2,
      to: Number.MAX_SAFE_INTEGER,
      label: over ? "near or past the heat limit" : "near the heat limit",
    },
  ];
};

/** The limit from the whole record: a band where it may lie, or only how far it goes at least. */
const limitLayers = (limit: LimitAnswer | null, own: Tone): readonly Layer[] => {
  if (limit?.state !== "fitted") return [];
  const { curve } = limit;
  const tone = own === "second" ? "lead" : "second";
  const points = (pick: (point: (typeof curve)[number]) => number | null): readonly Point[] =>
    curve.flatMap((point): Point[] => {
      const clockMhz = pick(point);
      return clockMhz === null ? [] : [[point.voltageMv / 1000, clockMhz]];
    });
  if (limit.atLeast)
    return [{ as: "line", tone, dashed: true, points: points(({ lowMhz }) => lowMhz), label: "at least" }];
  const band = limit.curve.flatMap(({ voltageMv, lowMhz, highMhz }): BandPoint[] =>
    highMhz === null ? [] : [[voltageMv / 1000, lowMhz, highMhz]],
  );
  return [
    { as: "band", tone, points: band, holds: "limit, 5 to 95 %" },
    {
      as: "line",
      tone,
      dashed: true,
      points: points(({ limitMhz }) => limitMhz),
      label: "nine in ten hours pass",
    },
  ];
};

const ceilingRule = (ceilingMv: number | null): readonly Layer[] =>
  ceilingMv === null
    ? []
    : [{ as: "rule", tone: "quiet", axis: "x", at: ceilingMv / 1000, label: "your ceiling" }];

/** Every setting tried, the frontier through them, and what stands in the way: ceiling and heat. */
export const limitPlot = (plotted: LimitPlotted): Plot => ({
  title: `Clock over voltage on ${plotted.name}: what held, what passed and what crashed`,
  x: { label: "voltage set", unit: "V" },
  y: { label: "clock", unit: plotted.clockUnit ?? "MHz" },
  layers: [
    ...heatZone(plotted.points),
    ...limitLayers(plotted.limit, plotted.tone),
    ...stepsLayers(plotted.points, plotted.tone, "held"),
    ...marksLayers(plotted),
    ...ceilingRule(plotted.ceilingMv),
  ],
});
